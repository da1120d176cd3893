"""What was drawn: named points and the lines between them, as they were read; and as they are kept with the design."""

from dataclasses import dataclass, field
from typing import Annotated

from pydantic import Field

from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.frame.questions import DesignSection

PointName = Annotated[str, Field(min_length=1, max_length=60)]


class GivenLines(DesignSection):
    """Points and lines of a frame, welded and checked: what a kit keeps of the file, so that it needs it no more."""

    points: tuple[tuple[str, float, float, float], ...]
    """Name as in the file, and x, y, z; z upward [mm]."""
    lines: tuple[tuple[int, int], ...]
    """Two points of each line, by their place in `points`."""
    faces: tuple[tuple[int, int, int], ...] = ()
    """Three points of each triangle that the file gives; none if it gives lines alone."""
    sections: tuple[str, ...] = ()
    """The section of each line, "" for that of [strut]; empty where all are of that one."""
    classes: tuple[str, ...] = ()
    """What the file calls the class of each line; empty where it says nothing of classes."""
    merged: tuple[str, ...] = ()
    """One sentence for each set of points that were taken for one, and for lines whose section is that of [strut]."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a reader found: ends of lines as they stand in the file, in its own unit and axes."""

    points: FloatArray
    """(p, 3) in the file's unit."""
    lines: IntArray
    """(m, 2) numbers of points."""
    names: tuple[str, ...]
    """(p,) what the file calls each point, else its number from 1."""
    where: tuple[str, ...]
    """(m,) where each line stands in the file: "line 12", "layer roof, entity 2F"."""
    faces: IntArray | None = None
    """(k, 3) numbers of points; None where the file has lines alone."""
    unit_mm: float | None = None
    """Millimetres of the unit that the file itself names; None where it names none."""
    classes: tuple[str, ...] = ()
    """(m,) what the file calls the class of each line; empty where it does not say."""
    sections: tuple[str, ...] = ()
    """(m,) what the file calls the section of each line, or the layer that it lies on; empty where it says neither."""
    shared: tuple[bool, ...] = ()
    """(m,) whether each line is the edge of a face, which a neighbour may draw as well; empty where none is."""
    left_aside: tuple[str, ...] = field(default=())
    """What else was in the file and says nothing about lines."""
