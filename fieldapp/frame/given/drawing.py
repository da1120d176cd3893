"""Drawings in DXF: lines, polylines and triangular faces, also inside blocks."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.given.record import Drawn

MOST_BLOCKS_DEEP = 8
"""Blocks inside blocks that are followed: our choice, more than anybody draws (in no formula)."""


def read_drawing(path: Path) -> Drawn:
    """All lines of the model space, each with two points of its own; points that meet are welded later.

    Raises
    ------
    DesignError
        If the file is no DXF, or is damaged.
    """
    from ezdxf import units  # all slow to bring in, and only for such a file
    from ezdxf.enums import InsertUnits
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        document = readfile(path)
    except (DXFError, OSError, UnicodeError, ValueError) as error:
        raise DesignError(f"{path.name} cannot be read as DXF: {error}. Save it anew, as DXF of 2000 or "
                          f"later.") from error
    edges: list[Any] = []
    faces: list[Any] = []
    where: list[str] = []
    layers: list[str] = []
    aside: dict[str, int] = {}
    shared: list[bool] = []
    for entity in _entities(document.modelspace()):
        at = f"layer {entity.dxf.layer}, entity {entity.dxf.handle or 'in a block'}"
        found, triangle = _of(entity)
        if not found:
            aside[entity.dxftype()] = aside.get(entity.dxftype(), 0) + 1
        edges += found
        where += [at] * len(found)
        layers += [entity.dxf.layer] * len(found)
        shared += [entity.dxftype() == "3DFACE"] * len(found)
        faces += [triangle] if triangle else []
    unit_mm = units.conversion_factor(InsertUnits(document.units), InsertUnits.Millimeters) if document.units else None
    left = tuple(f"{count} {kind}" for kind, count in sorted(aside.items()))
    return replace(_gathered(edges, faces, where, unit_mm, left), sections=tuple(layers), shared=tuple(shared))


def _entities(of: Any, depth: int = 0) -> Iterator[Any]:
    """Entities, those of inserted blocks in their place."""
    for entity in of:
        if entity.dxftype() == "INSERT" and depth < MOST_BLOCKS_DEEP:
            yield from _entities(entity.virtual_entities(), depth + 1)
        else:
            yield entity


def _of(entity: Any) -> tuple[list[Any], Any]:
    """Edges of an entity as pairs of points; and its corners if it is a triangle."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [(entity.dxf.start, entity.dxf.end)], None
    if kind == "3DFACE":
        return _of_face(entity)
    if kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline):
        return _row(list(entity.points_in_wcs()), closed=entity.is_closed), None
    if kind == "LWPOLYLINE":
        return _row(list(entity.vertices_in_wcs()), closed=entity.closed), None
    return [], None


def _of_face(entity: Any) -> tuple[list[Any], Any]:
    """Edges of a face but for those that its maker hid; its corners if it is a triangle."""
    ends = [tuple(entity.dxf.get(f"vtx{number}", entity.dxf.vtx2)) for number in range(4)]
    around = zip(ends, ends[1:] + ends[:1], entity.get_edges_visibility(), strict=True)
    corners = list(dict.fromkeys(ends))
    return [(a, b) for a, b, is_drawn in around if is_drawn and a != b], corners if len(corners) == 3 else None


def _row(points: list[Any], *, closed: bool) -> list[Any]:
    closing = [(points[-1], points[0])] if closed and len(points) > 2 else []
    return list(pairwise(points)) + closing


def _gathered(edges: list[Any], faces: list[Any], where: list[str], unit_mm: float | None,
              aside: tuple[str, ...]) -> Drawn:
    """Edges first, then corners of faces: they weld to the ends of their own edges."""
    points = [tuple(point) for edge in edges for point in edge] + [point for face in faces for point in face]
    first = 2 * len(edges)
    triangles = np.arange(first, first + 3 * len(faces), dtype=np.int64).reshape(-1, 3) if faces else None
    return Drawn(np.array(points, dtype=float).reshape(-1, 3), np.arange(first, dtype=np.int64).reshape(-1, 2),
                 tuple(str(number) for number in range(1, len(points) + 1)), tuple(where), triangles, unit_mm, aside)
