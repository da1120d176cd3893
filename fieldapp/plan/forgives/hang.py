"""Somebody who hangs from a hub or a strut, a ladder that leans there: what arms, tubes and feet bear of it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.forgives.lost import alike
from fieldapp.plan.forgives.on_feet import borne_on_feet, ways_to_stand
from fieldapp.plan.forgives.record import HANG, LADDER, PERSON_N, ladder_push_n, that_bear
from fieldapp.plan.forgives.upset import resting, upset_limits
from fieldapp.plan.joint_bounds import given_loads
from fieldapp.plan.stages import StageAnalysis, analysis
from fieldapp.statics import loads
from fieldapp.statics.feet.starts import Starts
from fieldapp.statics.governs import FOLDS, Governs, least
from fieldapp.statics.limits import Limit, Solved
from fieldapp.statics.load_limit import load_limits
from fieldapp.statics.matrices import DOWN
from fieldapp.statics.response import response

PLACES_AT_ONCE = 40
"""Places that are looked at in one go (in no formula)."""
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


def hang_limits(stage: StageAnalysis) -> Iterator[tuple[Limit, ...]]:
    """Largest weight that may hang still at each place, told up to one person, some places at a time [N]."""
    return _limits(stage, HANG, lambda place: [DOWN], PERSON_N)


def ladder_limits(stage: StageAnalysis) -> Iterator[tuple[Limit, ...]]:
    """Largest push of a ladder at each place, told up to what one pushes: level, inward or outward from above [N].

    Notes
    -----
    On the axis, where there is no inward, four sides are tried. What a ladder bears down by friction is left out: its
    foot is taken to carry all weight.
    """
    return _limits(stage, LADDER, _inward_and_outward, ladder_push_n())


def _inward_and_outward(place: Place) -> list[FloatArray]:
    """Unit vectors along the ground."""
    away = place.point_mm * [1.0, 1.0, 0.0]
    size = float(np.linalg.norm(away))
    if size < MIDDLE_MM:
        return [np.array([x, y, 0.0]) for x, y in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))]
    return [away / size, -away / size]


MIDDLE_MM = 1.0
"""Nearer to the frame's axis than this has no inward [mm]. Source: our choice. Test: tests/plan/test_forgives.py"""


def _limits(stage: StageAnalysis, kind: str, ways: Callable[[Place], list[FloatArray]], asked_n: float
            ) -> Iterator[tuple[Limit, ...]]:
    """The least at each place over all its directions: arms, tubes, tipping, sliding, feet that let go.

    Weight counts 1.35 times, on feet also once, and the load 1.5 times. A limit that is what was asked says "at least".
    """
    stage = beside_lock_in(stage)
    of = stage.solved
    if not stage.stands or not isinstance(of, Solved):
        governs = Governs(FOLDS, hub=next(iter(stage.falls), ""))
        yield tuple(Limit(kind, 0.0, hub, governs) for hub in stage.fitted.hubs)
        return
    starts, twins = ways_to_stand(stage, of), _twins(stage)
    for lot in _in_lots([place for place in places(stage, of) if place.name in twins]):
        cases = [(place, way) for place in lot for way in ways(place)]
        found: dict[str, list[Limit]] = {}
        for limit in _of_cases(stage, starts, kind, cases, asked_n=asked_n):
            found.setdefault(limit.at, []).append(limit)
        yield tuple(replace(least(limits), at=twin) for name, limits in found.items() for twin in twins[name])


def beside_lock_in(stage: StageAnalysis) -> StageAnalysis:
    """The same stage of arms and tubes that bear less by what is locked into each.

    Source: (P26). Test: tests/plan/test_forgives.py
    """
    return analysis(stage.loaded.case, stage.fitted) if stage.loaded else stage


def _twins(stage: StageAnalysis) -> dict[str, tuple[str, ...]]:
    """The first of each group of places that sit alike → the group; each by itself where some feet only are held."""
    fitted = stage.fitted
    if fitted.pegged and set(fitted.pegged) != set(fitted.stands_on):
        return {place: (place,) for place in (*fitted.hubs, *fitted.struts)}
    return {group[0]: group for group in alike(stage)}


def _in_lots(places: Sequence[Place]) -> Iterator[Sequence[Place]]:
    """So that an answer that is asked for meanwhile need not wait long."""
    for first in range(0, len(places), PLACES_AT_ONCE):
        yield places[first:first + PLACES_AT_ONCE]


def pull_n(stage: StageAnalysis, hang: Sequence[Limit]) -> float:
    """Largest pull on a strut's end, design value, while one person hangs where the limits let them [N].

    What a joint holds against being pulled apart is not computed, so that it must be said.

    Source: (S9), (P26): 1.35 × weight, 1.5 × the person, what is locked in. Test: tests/plan/test_forgives.py
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
    return most + (stage.bearing.locked.pull_n if stage.bearing else 0.0)


def _of_cases(stage: StageAnalysis, starts: Starts, kind: str, cases: Sequence[tuple[Place, FloatArray]], *,
              asked_n: float) -> tuple[Limit, ...]:
    """One limit a case."""
    of, names = starts.feet.of, [place.name for place, _ in cases]
    forces = np.array([way for _, way in cases])
    load = _load(of, cases, forces)
    found = load_limits(of, load, stage.case.tubes, kind=kind, at=names, most=asked_n)
    ground = resting(of.stage, of.first_weight.load, starts.feet.on)
    if ground is not None:
        points = np.array([place.point_mm for place, _ in cases])
        upset = upset_limits(ground, kind, names, points, forces)
        found = tuple(least(pair) for pair in zip(found, upset, strict=True))
    unit = response(of.ready, load * GAMMA_Q)
    found = given_loads(stage.bearing, unit, found) if stage.bearing else found
    return borne_on_feet(stage, starts, unit, found, asked_n)


def _load(of: Solved, cases: Sequence[tuple[Place, FloatArray]], forces_n: FloatArray) -> loads.Load:
    """1 N in each case: on a hub, or in the middle of a strut; hubs come first."""
    on_struts = np.array([place.is_strut for place, _ in cases])
    hubs = np.zeros((int((~on_struts).sum()), *of.stage.fixed.shape))  # (case, hub, dof)
    rows = np.array([place.row for place, _ in cases], dtype=np.int64)
    hubs[np.arange(len(hubs)), rows[~on_struts], :3] = forces_n[~on_struts]
    parts = [loads.on_hubs(of.stage, hubs), loads.at_middles(of.stage, rows[on_struts], forces_n[on_struts])]
    return loads.joined(parts)
