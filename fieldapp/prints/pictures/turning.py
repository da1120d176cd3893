"""The frame as numbers for a picture that can be turned: where hubs lie, and one letter for the state of each place.

Pages and the pocket copy draw it themselves, by the scripts `static/turning_*.js`; the letters follow `Showing`, so
that the still picture and the one that turns say the same.
"""

import json
from typing import Final

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.prints.pictures.skeleton import Showing

_LETTERS: Final = {"new": "n", "damaged": "d", "standing": "s", "later": "l"}
LEFT_OUT: Final = "x"
_OUTWARD_PARTS: Final = 1000
"""Directions are sent in thousandths: a picture shows no finer."""
_LEAST_RING: Final = 0.3
"""A frame that stands on a point still gets a ground ring, this share of its width; as the still picture has it."""


def turning_frame(frame: Frame) -> str:
    """The frame as JSON: names, hub centres and outsides, ends of the struts, and what the eye turns round [mm].

    Lists of numbers are flat, three or two for each hub or strut, in whole millimetres and thousandths.
    """
    base = frame.nodes_mm[[frame.hub_index[hub.name] for hub in frame.hubs if hub.on_ground]]
    middle = np.array([*frame.centre_mm[:2], frame.height_mm / 2])
    wide = _reach_mm(frame.nodes_mm, middle)
    said = {"hubs": [hub.name for hub in frame.hubs], "struts": [strut.name for strut in frame.struts],
            "at": _whole(frame.nodes_mm), "out": _whole(frame.outward * _OUTWARD_PARTS),
            "ends": [int(row) for row in frame.ends.ravel()], "centre": _whole(middle), "wide": round(wide),
            "ground": round(max(_reach_mm(base, middle), _LEAST_RING * wide)), "radius": round(frame.radius_mm),
            "height": round(frame.height_mm)}
    return json.dumps(said, separators=(",", ":"))


def turning_marks(frame: Frame, showing: Showing) -> str:
    """A letter for each hub, then for each strut: n next, d damaged, s standing, l later, x left out.

    The place in question has the letter of what else it is: the script knows it by name.
    """
    names = (*(hub.name for hub in frame.hubs), *(strut.name for strut in frame.struts))
    return "".join(_letter(showing, name) for name in names)


def _letter(showing: Showing, place: str) -> str:
    if place in showing.left_out:
        return LEFT_OUT
    if place in showing.damaged:
        return _LETTERS["damaged"]
    if place in showing.new:
        return _LETTERS["new"]
    return _LETTERS["standing" if place in showing.standing else "later"]


def _reach_mm(points_mm: FloatArray, middle_mm: FloatArray) -> float:
    """Greatest level distance of points from the middle [mm]."""
    return float(np.linalg.norm((points_mm - middle_mm)[:, :2], axis=1).max())


def _whole(values: FloatArray) -> list[int]:
    return [round(float(value)) for value in values.ravel()]
