"""Meshes: OBJ with its lines and faces, read here; the edges of an STL."""

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.given.record import Drawn


def read_obj(text: str, source: str) -> Drawn:
    """Elements v, l and f of an OBJ; numbers below zero count back from the newest point. All else is not read.

    Raises
    ------
    DesignError
        A number that is none, or a point that is not there.

    Examples
    --------
    >>> drawn = read_obj("v 0 0 0\\nv 1 0 0\\nv 0 1 0\\nf 1/1 2/2 3/3\\nl -3 -1", "frame.obj")
    >>> drawn.lines.tolist(), drawn.faces.tolist()
    ([[0, 1], [0, 2], [1, 2]], [[0, 1, 2]])
    """
    points: list[tuple[float, ...]] = []
    edges: dict[tuple[int, int], str] = {}
    faces: list[tuple[int, ...]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        kind, *values = line.split("#")[0].split() or [""]
        at = f"{source}, line {number}"
        if kind == "v":
            points.append(_place(values, at))
        elif kind in ("l", "f"):
            corners = [_corner(value, len(points), at) for value in values]
            pairs = zip(corners, corners[1:] + (corners[:1] if kind == "f" else []), strict=False)
            for a, b in pairs:
                edges.setdefault((min(a, b), max(a, b)), f"line {number}")
            faces += [tuple(corners)] if kind == "f" and len(corners) == 3 else []
    ordered = sorted(edges)
    return Drawn(np.array(points, dtype=float).reshape(-1, 3), np.array(ordered, dtype=np.int64).reshape(-1, 2),
                 tuple(str(number) for number in range(1, len(points) + 1)), tuple(edges[edge] for edge in ordered),
                 np.array(faces, dtype=np.int64) if faces else None)


def _place(values: Sequence[str], at: str) -> tuple[float, ...]:
    try:
        place = tuple(float(value) for value in values[:3])
    except ValueError:
        place = ()
    if len(place) != 3 or not np.all(np.isfinite(place)):
        raise DesignError(f"{at} is no point: \"{' '.join(values)[:40]}\"; allowed are three numbers after v.")
    return place


def _corner(value: str, known: int, at: str) -> int:
    try:
        number = int(value.split("/")[0])
    except ValueError:
        number = 0
    index = number - 1 if number > 0 else known + number
    if number == 0 or not 0 <= index < known:
        raise DesignError(f"{at} names the point {value[:20]}; allowed are 1 to {known}, or −1 to −{known}.")
    return index


def read_stl(path: Path) -> Drawn:
    """The edges of all triangles, each once.

    Raises
    ------
    DesignError
        If the file is no STL.
    """
    import trimesh  # only for such a file

    try:
        mesh = trimesh.load_mesh(path, file_type="stl")
        points, faces = np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces, dtype=np.int64)
    except Exception as error:      # of many kinds, none of them ours
        raise DesignError(f"{path.name} cannot be read as STL: {error}. Save it anew.") from error
    lines = np.unique(np.sort(np.vstack((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]])), axis=1), axis=0)
    return Drawn(points, lines, tuple(str(number) for number in range(1, len(points) + 1)),
                 tuple(_triangles(faces, lines)), faces)


def _triangles(faces: np.ndarray, lines: np.ndarray) -> Iterator[str]:
    """Where each edge stands: its first triangle, from 1."""
    first: dict[tuple[int, int], int] = {}
    for number, corners in enumerate(faces.tolist(), start=1):
        for a, b in ((0, 1), (1, 2), (2, 0)):
            pair = sorted((corners[a], corners[b]))
            first.setdefault((pair[0], pair[1]), number)
    return (f"triangle {first[a, b]}" for a, b in lines.tolist())
