"""Where a place is, in words that need no counting: on top of what, between what, left or right of what stands."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fieldapp.base.said import listed
from fieldapp.base.words import _
from fieldapp.frame.frame import Frame, HubPlace, StrutPlace
from fieldapp.wording.place import hub_where

IsFitted = Callable[[str], bool]
MOST_NAMED = 3
"""Neighbours named of one side (in no formula)."""
_ASIDE_MM = 1.0
"""Less far to the side is neither left nor right [mm]. Source: our choice. Test: tests/wording/test_whereabouts.py"""
STEEP = 0.35
"""Sine of the slope from which on one hub is above another, not beside it [1]: 20 degrees.
Source: our choice. Test: tests/wording/test_whereabouts.py"""


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """One place among what stands."""

    words: str
    """"On top of H22 and H23, left of S029"."""
    named: tuple[str, ...]
    """The neighbours named in it, for the picture."""
    below: str = ""
    """On top of what alone, for whoever takes it out; empty where the words are as short."""


def whereabouts(frame: Frame, place: str, stands: IsFitted) -> Whereabouts:
    """By neighbours that stand; where none does, by its place in the frame."""
    if place in frame.hub_index:
        return _hub(frame, frame.hub(place), stands)
    return _strut(frame, frame.strut(place), stands)


def _hub(frame: Frame, hub: HubPlace, stands: IsFitted) -> Whereabouts:
    others = [frame.strut(arm.strut).end(3 - arm.end).hub for arm in hub.arms]
    met = [other for other in dict.fromkeys(others) if stands(other)]
    rise = {other: _rise(frame, hub.name, other) for other in met}
    below = sorted(other for other in met if rise[other] < -STEEP)
    above = sorted(other for other in met if rise[other] > STEEP)
    beside = [other for other in met if other not in below and other not in above]
    if not met or hub == frame.top:
        return Whereabouts(hub_where(frame, hub), tuple(sorted(met)))
    if below:
        first, named = _("on top of {hubs}").format(hubs=listed(below, most=MOST_NAMED)), tuple(below[:MOST_NAMED])
    elif above:
        first, named = _("below {hubs}").format(hubs=listed(above, most=MOST_NAMED)), tuple(above[:MOST_NAMED])
    else:
        first, named = "", ()
    near = beside or _struts_beside(frame, named, hub.name, stands)
    side = _aside(frame, hub.name, near)
    if not first and not side[0]:
        return Whereabouts(_("beside {hubs}").format(hubs=listed(beside, most=MOST_NAMED)), tuple(beside[:MOST_NAMED]))
    return Whereabouts(_joined(first, side[0]), (*named, *side[1]), first)


def _strut(frame: Frame, strut: StrutPlace, stands: IsFitted) -> Whereabouts:
    low, high = strut.end_1.hub, strut.end_2.hub
    if abs(_rise(frame, low, high)) < STEEP and frame.hub(low) != frame.top != frame.hub(high):
        right, left = (low, high) if _to_right_mm(frame, strut.name, low) > 0 else (high, low)
        words = _("between {left} (left) and {right} (right)").format(left=left, right=right)
        return Whereabouts(words, (left, right))
    near = _struts_beside(frame, (low,), strut.name, stands)
    side = _aside(frame, strut.name, near)
    words = _("from {low} up to {high}").format(low=low, high=high)
    return Whereabouts(_joined(words, side[0]), (low, high, *side[1]))


def _joined(first: str, second: str) -> str:
    return ", ".join(filter(None, (first, second)))


def _rise(frame: Frame, of: str, to: str) -> float:
    """How steep the way from one hub to another is: sine, 1 straight up, negative downward."""
    way = frame.position_mm(to) - frame.position_mm(of)
    return float(way[2] / np.linalg.norm(way))


def _struts_beside(frame: Frame, hubs: tuple[str, ...], place: str, stands: IsFitted) -> list[str]:
    """Struts that stand on these hubs and go up, not onto the place itself."""
    own = {arm.strut for arm in frame.hub(place).arms} if place in frame.hub_index else {place}
    found = [arm.strut for hub in hubs for arm in frame.hub(hub).arms if arm.strut not in own and stands(arm.strut)
             and _rise(frame, hub, frame.strut(arm.strut).end(3 - arm.end).hub) > STEEP]
    return list(dict.fromkeys(found))


def _aside(frame: Frame, place: str, near: list[str]) -> tuple[str, tuple[str, ...]]:
    """"left of S029" of the nearest to either side, as seen from outside; nothing where the place has no side."""
    aside = {name: _to_right_mm(frame, place, name) for name in near}
    to_right = min((name for name in near if aside[name] > _ASIDE_MM), key=aside.__getitem__, default=None)
    to_left = max((name for name in near if aside[name] < -_ASIDE_MM), key=aside.__getitem__, default=None)
    if to_right and to_left:
        words = _("between {left} (left) and {right} (right)").format(left=to_left, right=to_right)
        return words, (to_left, to_right)
    if to_right:
        return _("left of {name}").format(name=to_right), (to_right,)
    return (_("right of {name}").format(name=to_left), (to_left,)) if to_left else ("", ())


def _to_right_mm(frame: Frame, place: str, name: str) -> float:
    """How far a place lies to the right of another, seen from outside [mm]; 0 at the axis, which has no sides."""
    here = _middle_mm(frame, place)[:2]
    outward = here - np.asarray(frame.centre_mm)[:2]
    length = float(np.linalg.norm(outward))
    if length < _ASIDE_MM:
        return 0.0
    right = np.array([-outward[1], outward[0]]) / length
    return float((_middle_mm(frame, name)[:2] - here) @ right)


def _middle_mm(frame: Frame, place: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """(3,) a hub, or the middle of a strut [mm]."""
    if place in frame.hub_index:
        return np.asarray(frame.position_mm(place), dtype=float)
    strut = frame.strut(place)
    return np.asarray(frame.position_mm(strut.end_1.hub) + frame.position_mm(strut.end_2.hub), dtype=float) / 2.0
