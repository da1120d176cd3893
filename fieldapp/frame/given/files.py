"""The way in: a file of points and lines, by the end of its name, to points and lines that a frame can have."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.given.drawing import read_drawing
from fieldapp.frame.given.faults import Lines, faults
from fieldapp.frame.given.mesh import read_obj, read_stl
from fieldapp.frame.given.record import Drawn, GivenLines
from fieldapp.frame.given.sections import edges_once, sections_of_lines
from fieldapp.frame.given.tables import read_tables
from fieldapp.frame.given.weld import welded
from fieldapp.frame.shape import strut_lengths

UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""Millimetres of each unit that can be answered [mm].
Source: SI; inch and foot of 1959, exact. Test: tests/frame/given/test_files.py"""
KINDS = (".csv", ".dxf", ".obj", ".stl")
DECIMALS = 6
"""Of a millimetre: what is kept of the file, so that two machines keep the same (in no formula)."""
UP = {"z": (0, 1, 2), "y": (2, 0, 1), "x": (1, 2, 0)}
"""Which of the file's axes become x, y, z: turned, never mirrored (in no formula)."""
DOWN = np.array([1.0, -1.0, -1.0])
"""What x, y, z are multiplied by where an axis points downward: turned about x, never mirrored (in no formula)."""


def read_lines(path: Path, *, unit: str | None, up: str | None, weld_mm: float,
               sections: Sequence[str] = ()) -> GivenLines:
    """What a file draws, in millimetres, z upward, points that meet welded.

    Parameters
    ----------
    path : Path
        Ends in .csv, .dxf, .obj or .stl.
    unit : str, optional
        One of `UNITS_MM`; needed where the file names none.
    up : {"x", "y", "z", "-x", "-y", "-z"}, optional
        The axis of the file that points upward, or with a minus the one that points downward. No kind of file says
        it, so without it the file is refused.
    weld_mm : float
        Points closer than this are one hub [mm].
    sections : sequence of str
        Names of the tables [struts.NAME] of the design.

    Raises
    ------
    DesignError
        One line a fault, each with its place in the file and what to do.
    """
    drawn = _read(path)
    points_mm = _upright(drawn, unit, up, path.name)
    if not np.all(np.isfinite(points_mm)):
        raise DesignError(f"{path.name} has a point that is no number. Save it anew.")
    lengths = strut_lengths(points_mm, drawn.lines)
    long_ones = lengths[lengths > weld_mm]
    found = welded(points_mm, drawn.names, weld_mm, float(long_ones.min()) if len(long_ones) else np.inf)
    drawn = edges_once(drawn, found.index, path.name, sections)
    of_lines, told_of_sections = sections_of_lines(drawn, path.name, sections)
    lines = Lines(found.points_mm, found.index[drawn.lines], found.names, drawn.where, weld_mm)
    told = faults(_used(lines) if path.suffix.lower() != ".csv" else lines)
    if told:
        raise DesignError("\n".join(f"{path.name}: {text}" for text in told))
    given = _given(lines, None if drawn.faces is None else found.index[drawn.faces], found.merged + told_of_sections)
    return given.model_copy(update={"sections": of_lines, "classes": drawn.classes})


def _read(path: Path) -> Drawn:
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise DesignError(f"frame.file is \"{path.name}\"; allowed are files that end in {', '.join(KINDS)}. Save the "
                          f"drawing as one of them.")
    if not path.is_file():
        raise DesignError(f"frame.file is \"{path.name}\", which is not beside the design file. Put it there, or "
                          f"correct the name.")
    if kind == ".dxf":
        return read_drawing(path)
    if kind == ".stl":
        return read_stl(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise DesignError(f"{path.name} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error
    return read_tables(text, path.name) if kind == ".csv" else read_obj(text, path.name)


def _refuse_unanswered(drawn: Drawn, unit: str | None, up: str | None, name: str) -> None:
    """DesignError where neither file nor design says the unit or which way is up, with how far the file reaches."""
    told = []
    if unit is None and drawn.unit_mm is None:
        told.append(f"drawing.unit is missing, and {name} names no unit: it reaches over {_reaches(drawn)} of them; "
                    f"allowed are {', '.join(UNITS_MM)}. Under [drawing] write the one it was drawn in, such as "
                    f"unit = \"m\".")
    if up is None:
        told.append(f"drawing.up is missing, and {name} does not say which way is up: it reaches over "
                    f"{_reaches(drawn)} in x, y and z; allowed are x, y, z, -x, -y, -z. "
                    f"Under [drawing] write the one that is the height, such as up = \"z\"; with a minus it points "
                    f"downward.")
    if told:
        raise DesignError("\n".join(told))


def _upright(drawn: Drawn, unit: str | None, up: str | None, name: str) -> FloatArray:
    """(p, 3) the points, z upward [mm]."""
    _refuse_unanswered(drawn, unit, up, name)
    scale, axis = UNITS_MM[unit] if unit else drawn.unit_mm or 1.0, up or "z"
    points: FloatArray = drawn.points[:, UP[axis.removeprefix("-")]] * scale
    return points * DOWN if axis.startswith("-") else points


def _reaches(drawn: Drawn) -> str:
    """Over how much the points reach along the file's axes, in its unit: "4 by 5 by 1.8"."""
    span = np.ptp(drawn.points, axis=0) if len(drawn.points) else np.zeros(3)
    return " by ".join(f"{size:.4g}" for size in span)


def _used(of: Lines) -> Lines:
    """Without points that no line meets: meshes and drawings have such for other ends."""
    used, lines = np.unique(of.lines, return_inverse=True)
    return Lines(of.points_mm[used], lines.reshape(-1, 2), tuple(of.names[i] for i in used), of.where, of.weld_mm)


def _given(of: Lines, faces: IntArray | None, merged: tuple[str, ...]) -> GivenLines:
    """The record, points that no line meets left out."""
    used = np.unique(of.lines)
    index = np.full(len(of.points_mm), -1)
    index[used] = np.arange(len(used))
    whole = np.zeros((0, 3), dtype=np.int64) if faces is None else index[faces]
    whole = whole[(whole >= 0).all(axis=1)]
    return GivenLines(points=_rows(of.points_mm[used], [of.names[i] for i in used]),
                      lines=tuple((int(a), int(b)) for a, b in index[of.lines]),
                      faces=tuple((int(a), int(b), int(c)) for a, b, c in whole), merged=merged)


def _rows(points_mm: FloatArray, names: list[str]) -> tuple[tuple[str, float, float, float], ...]:
    return tuple((name, float(x), float(y), float(z))
                 for name, (x, y, z) in zip(names, points_mm.round(DECIMALS) + 0.0, strict=True))
