"""A frame without one strut or one hub: whether it stands, and what it then bears; each analysed from scratch.

Places that sit alike are worked out once. The least push is looked for where a loss is felt: at hubs up to two struts
away, and at those that are weakest in the whole frame.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fieldapp.frame.frame import Frame
from fieldapp.plan.assemble import other_hub
from fieldapp.plan.case import Case
from fieldapp.plan.forgives.record import Lost
from fieldapp.plan.least_push import least_push
from fieldapp.plan.stages import Fitted, StageAnalysis, analysis
from fieldapp.plan.symmetry import hubs_alike, struts_alike
from fieldapp.statics.limits import Limit

NEAR = 2
"""How many struts away from a loss hubs are pushed [1].
Source: our choice: farther off a loss changes a shell's pushes little, and its weakest hubs are pushed besides.
Test: tests/plan/test_forgives.py"""
WEAKEST = 8
"""Weakest hubs of the whole frame that are pushed too [1]. Source: our choice. Test: tests/plan/test_forgives.py"""

BETWEEN_DIRECTIONS = 0.99
"""What is told of a wind limit worked out for one of several places alike [1]: the 24 directions of the wind do not
share the frame's symmetry, and half a step of 15° between them hides 1 − cos 7.5° of a force.
Source: our choice, more than that. Test: tests/plan/test_forgives.py"""


def whole(stage: StageAnalysis) -> tuple[Lost, tuple[str, ...]]:
    """The frame with nothing lost, and its weakest hubs."""
    pushes = sorted(stage.push_limits().values(), key=lambda limit: (limit.value, limit.at)) if stage.stands else []
    return _judged("", stage, pushes), tuple(limit.at for limit in pushes[:WEAKEST])


def alike(stage: StageAnalysis) -> tuple[tuple[str, ...], ...]:
    """Struts, then hubs, in groups that sit alike among what is in."""
    frame, fitted = stage.case.frame, stage.fitted
    return (*struts_alike(frame, fitted.struts), *hubs_alike(frame, fitted.hubs, fitted.struts))


def lost_parts(stage: StageAnalysis, groups: Iterable[Sequence[str]], weakest: Sequence[str]
               ) -> Iterator[tuple[Lost, ...]]:
    """For each group what the loss of any of it leaves, in order."""
    for group in groups:
        first = without(stage.case, stage.fitted, group[0], weakest)
        if first.wind is not None and len(group) > 1:
            first = replace(first, wind=replace(first.wind, value=BETWEEN_DIRECTIONS * first.wind.value))
        yield tuple(replace(first, place=place) for place in group)


def without(case: Case, fitted: Fitted, place: str, weakest: Iterable[str] | None = None) -> Lost:
    """The frame without one hub or strut. A lost hub's struts hang on by their other ends.

    Parameters
    ----------
    case : Case
    fitted : Fitted
        The whole frame.
    place : str
        A hub or strut place.
    weakest : iterable of str, optional
        Hubs that are pushed besides those near by; None: all hubs.
    """
    left = _left(fitted, place)
    stage = analysis(case, left)
    if not stage.stands:
        return _judged(place, stage, [])
    if weakest is None:
        return _judged(place, stage, list(stage.push_limits().values()))
    inside = frozenset(left.hubs) - frozenset(left.stands_on)
    asked = list(dict.fromkeys((*weakest, *sorted(near(case.frame, place)))))
    hubs = [hub for hub in asked if hub in inside and stage.carries(hub)]
    return _judged(place, stage, [least_push(stage.loaded, hubs, hubs[0])] if hubs and stage.loaded else [])


def _left(fitted: Fitted, place: str) -> Fitted:
    """What is in without a part."""
    if place in fitted.struts:
        return fitted.with_struts(strut for strut in fitted.struts if strut != place)
    gone = {name: tuple(hub for hub in getattr(fitted, name) if hub != place) for name in ("hubs", "stands_on", "last")}
    return replace(fitted, **gone)


def near(frame: Frame, place: str) -> frozenset[str]:
    """Hubs up to `NEAR` struts away from a place."""
    found = {place} if place in frame.hub_index else {frame.strut(place).end_1.hub, frame.strut(place).end_2.hub}
    for _ in range(NEAR):
        found |= {other_hub(frame.strut(arm.strut), hub) for hub in found for arm in frame.hub(hub).arms}
    return frozenset(found)


def _judged(place: str, stage: StageAnalysis, pushes: Sequence[Limit]) -> Lost:
    """What is left, in a record."""
    if not stage.stands:
        return Lost(place, stands=False, use=math.inf, moves=stage.falls)
    push = min(pushes, key=lambda limit: (limit.value, limit.at), default=None)
    bears = stage.verdict.value
    return Lost(place, stands=not stage.breaks, use=1.0 / bears if bears > 0 else math.inf, push=push, wind=stage.wind)
