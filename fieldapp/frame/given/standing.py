"""A drawn frame as the rest of the room knows a shape: on the ground, its front toward −y, outsides known."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.frame import BoolArray, FloatArray
from fieldapp.frame.given.outside import outward_by_planes, outward_of_surface, surface, triangles
from fieldapp.frame.given.record import GivenLines
from fieldapp.frame.shape import Shape

SeenFrom = Literal["outside", "above", "front"]
SIDES: dict[str, tuple[float, float, float]] = {"above": (0.0, 0.0, 1.0), "front": (0.0, -1.0, 0.0)}
"""Where hubs without an outside are seen from: straight down, or from the front mark (in no formula)."""
MOST_NAMED = 6
"""Points named in a message (in no formula)."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What the design answers about a drawn frame."""

    seen_from: SeenFrom
    feet: tuple[str, ...]
    feet_within_mm: float
    front: str | None
    """Name of a point at the front."""
    front_deg: float
    """Else: where the front mark lies, clockwise seen from above from the file's −y [deg]."""


@dataclass(frozen=True, slots=True)
class Placed:
    """The shape in millimetres, and the outside of each of its hubs."""

    shape: Shape
    outward: FloatArray
    middle_mm: tuple[float, float, float]
    """Middle of the frame: in plan that of its hubs, half as high [mm]."""
    radius_mm: float
    """Of the smallest ball round the middle that holds all hubs [mm]."""


def standing(given: GivenLines, answers: Answers) -> Placed:
    """Turned to the front mark, on the ground, its middle on the axis.

    Raises
    ------
    DesignError
        Feet or a front that no point is called; hubs that have no outside; parts that hang on no foot.
    """
    names = [point[0] for point in given.points]
    points = np.array([point[1:] for point in given.points], dtype=float).reshape(-1, 3)
    lines = np.array(given.lines, dtype=np.int64).reshape(-1, 2)
    points = _turned(points, names, answers)
    points -= np.append((points[:, :2].min(axis=0) + points[:, :2].max(axis=0)) / 2, points[:, 2].min())
    points = points.round(6) + 0.0
    ground = _ground(points, names, answers)
    outward, faces = _outward(points, lines, given, names, answers.seen_from)
    middle = np.array([0.0, 0.0, float(points[:, 2].max()) / 2])
    radius = float(np.linalg.norm(points - middle, axis=1).max())
    shape = Shape(points, lines, faces, np.zeros(len(points), dtype=np.int64), ground)
    return Placed(shape, outward, (0.0, 0.0, float(middle[2])), radius)


def _turned(points: FloatArray, names: list[str], answers: Answers) -> FloatArray:
    """Turned about the upright so that the front lies toward −y."""
    azimuth = np.radians(answers.front_deg)
    if answers.front is not None:
        if answers.front not in names:
            raise DesignError(f"drawing.front is \"{answers.front}\", which no point of the file is called. Write the "
                              f"name of a point on the ground, or a direction in drawing.front_deg.")
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        x, y, _ = points[names.index(answers.front)] - middle
        azimuth = np.arctan2(-x, -y)
    cosine, sine = np.cos(azimuth), np.sin(azimuth)
    return np.asarray(points @ np.array([[cosine, sine, 0.0], [-sine, cosine, 0.0], [0.0, 0.0, 1.0]]))


def _ground(points: FloatArray, names: list[str], answers: Answers) -> BoolArray:
    """The feet: those listed, else the lowest within the tolerance."""
    unknown = [name for name in answers.feet if name not in names]
    if unknown:
        raise DesignError(f"drawing.feet names {', '.join(unknown[:MOST_NAMED])}, which no point of the file is "
                          f"called. Correct the names, or leave the line out to take the lowest points.")
    if answers.feet:
        return np.isin(np.array(names), answers.feet)
    return np.asarray(points[:, 2] <= answers.feet_within_mm)


def _outward(points: FloatArray, lines: np.ndarray, given: GivenLines, names: list[str],
             seen_from: SeenFrom) -> tuple[FloatArray, np.ndarray]:
    """Outsides and the faces that they were read from, if any."""
    if seen_from != "outside":
        return np.tile(SIDES[seen_from], (len(points), 1)), np.zeros((0, 3), dtype=np.int64)
    drawn = np.array(given.faces, dtype=np.int64).reshape(-1, 3)
    faces = surface(lines, drawn if len(drawn) else triangles(lines, len(points)), len(points))
    if faces is not None:
        return outward_of_surface(points, faces)
    outward, known = outward_by_planes(points, lines)
    if not known.all():
        without = [names[i] for i in np.flatnonzero(~known)]
        more = f" and {len(without) - MOST_NAMED} more" if len(without) > MOST_NAMED else ""
        raise DesignError(f"{len(without)} hubs have no outside: the struts at {', '.join(without[:MOST_NAMED])}{more} "
                          f"lie in no surface. Answer drawing.seen_from with \"above\" or \"front\": all hubs are then "
                          f"drawn, and their arms counted, as seen from there.")
    return outward, np.zeros((0, 3), dtype=np.int64)
