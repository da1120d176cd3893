"""Somebody who hangs from a hub or a strut, a ladder that leans there: what arms, tubes and feet bear of it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.footing import footing_of
from fieldapp.plan.forgives.record import HANG, LADDER, PERSON_N, that_bear
from fieldapp.plan.forgives.upset import resting, upset_limits
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics import loads
from fieldapp.statics.governs import FOLDS, Governs, least
from fieldapp.statics.limits import Limit, Solved
from fieldapp.statics.load_limit import load_limits
from fieldapp.statics.model import DOWN
from fieldapp.statics.response import response

MOST_N = 5000.0
"""Forces beyond this are not looked for [N]. Source: our choice, five persons. Test: tests/plan/test_forgives.py"""
_AT_ONCE = 40_000
"""Cases × struts at once (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A hub that is not held, or the middle of a strut."""

    name: str
    row: int
    """Of the hub in the frame, or of the strut in the stage."""
    is_strut: bool
    point_mm: FloatArray


def places(stage: StageAnalysis, of: Solved) -> tuple[Place, ...]:
    """All places where a load is tried, hubs first."""
    model = of.stage.model
    free = [hub for hub in np.unique(of.stage.ends) if not of.stage.fixed[hub, :3].all()]
    middles = model.nodes_mm[of.stage.ends].mean(axis=1)
    return (*(Place(model.hub_names[hub], int(hub), False, model.nodes_mm[hub]) for hub in free),
            *(Place(model.strut_names[number], row, True, middles[row]) for row, number in enumerate(of.stage.struts)))


def hang_limits(stage: StageAnalysis) -> tuple[Limit, ...]:
    """Largest weight that may hang still at each place [N]. See `load_limits`: weight × 1.35, this × 1.5."""
    return _limits(stage, HANG, lambda place: [DOWN])


def ladder_limits(stage: StageAnalysis) -> tuple[Limit, ...]:
    """Largest push of a ladder at each place [N]: level, inward or outward as seen from above.

    Notes
    -----
    On the axis, where there is no inward, four sides are tried. What a ladder bears down by friction is left out: its
    foot is taken to carry all weight.
    """
    return _limits(stage, LADDER, _inward_and_outward)


def _inward_and_outward(place: Place) -> list[FloatArray]:
    """Unit vectors along the ground."""
    away = place.point_mm * [1.0, 1.0, 0.0]
    size = float(np.linalg.norm(away))
    if size < MIDDLE_MM:
        return [np.array([x, y, 0.0]) for x, y in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))]
    return [away / size, -away / size]


MIDDLE_MM = 1.0
"""Nearer to the frame's axis than this has no inward [mm]. Source: our choice. Test: tests/plan/test_forgives.py"""


def _limits(stage: StageAnalysis, kind: str, ways: Callable[[Place], list[FloatArray]]) -> tuple[Limit, ...]:
    """The least at each place over all its directions, strength and feet."""
    of = stage.solved
    if not stage.stands or not isinstance(of, Solved):
        governs = Governs(FOLDS, hub=next(iter(stage.falls), ""))
        return tuple(Limit(kind, 0.0, hub, governs) for hub in stage.fitted.hubs)
    cases = [(place, way) for place in places(stage, of) for way in ways(place)]
    found: dict[str, list[Limit]] = {}
    size = max(1, _AT_ONCE // max(1, len(of.stage.struts)))
    for first in range(0, len(cases), size):
        for limit in _of_cases(stage, of, kind, cases[first:first + size]):
            found.setdefault(limit.at, []).append(limit)
    return tuple(least(limits) for limits in found.values())


def pull_n(stage: StageAnalysis, hang: Sequence[Limit]) -> float:
    """Largest pull on a strut's end, design value, while one person hangs where the limits let them [N].

    What a joint holds against being pulled apart is not computed, so that it must be said.

    Source: (S9): 1.35 × weight and 1.5 × the person. Test: tests/plan/test_forgives.py
    """
    of, good = stage.solved, that_bear(hang, PERSON_N)
    if not good or not isinstance(of, Solved):
        return 0.0
    cases = [(place, DOWN) for place in places(stage, of) if place.name in frozenset(good)]
    forces = np.tile(DOWN, (len(cases), 1)) * PERSON_N
    most, size = 0.0, max(1, _AT_ONCE // len(of.stage.struts))
    for first in range(0, len(cases), size):
        some = slice(first, first + size)
        answer = of.weight * GAMMA_G + response(of.ready, _load(of, cases[some], forces[some]) * GAMMA_Q)
        most = max(most, float(answer.arms[..., 0].max()))
    return most


def _of_cases(stage: StageAnalysis, of: Solved, kind: str, cases: Sequence[tuple[Place, FloatArray]]
              ) -> Iterator[Limit]:
    """Limits of strength, then of tipping and sliding, one each a case."""
    names = [place.name for place, _ in cases]
    forces = np.array([way for _, way in cases])
    yield from load_limits(of, _load(of, cases, forces), stage.case.tubes, kind=kind, at=names, most=MOST_N)
    on = footing_of(stage.case.design.ground, stage.fitted.stands_on, getattr(stage.fitted, "pegged", ()))
    ground = resting(of.stage, of.first_weight.load, on)
    if ground is not None:
        yield from upset_limits(ground, kind, names, np.array([place.point_mm for place, _ in cases]), forces)


def _load(of: Solved, cases: Sequence[tuple[Place, FloatArray]], forces_n: FloatArray) -> loads.Load:
    """1 N in each case: on a hub, or in the middle of a strut; hubs come first."""
    on_struts = np.array([place.is_strut for place, _ in cases])
    hubs = np.zeros((int((~on_struts).sum()), *of.stage.fixed.shape))  # (case, hub, dof)
    rows = np.array([place.row for place, _ in cases], dtype=np.int64)
    hubs[np.arange(len(hubs)), rows[~on_struts], :3] = forces_n[~on_struts]
    parts = [loads.on_hubs(of.stage, hubs), loads.at_middles(of.stage, rows[on_struts], forces_n[on_struts])]
    return loads.joined(parts)
