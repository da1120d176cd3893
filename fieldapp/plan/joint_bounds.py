"""What joints bear against being pulled apart: a source of bounds where the design has pull tests of them.

Where it has none nobody knows, and nothing here answers: every limit is told with that (`plan.limits.JOINTS_UNTESTED`,
a column of `prints.limits_table`), and `plan.forgives` says what they would be pulled with.
"""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.bounds import Bearing
from fieldapp.plan.case import Case
from fieldapp.plan.feet_bounds import feet_bounds, pulled_on_feet
from fieldapp.statics import loads
from fieldapp.statics.capacity import joint_pull_n
from fieldapp.statics.feet.gusts import as_wind_limit
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.free_ends import carried_by, end_pushes
from fieldapp.statics.governs import FREE_END, JOINT, LAG, LOW_HUB, PUSH, WEIGHT, WIND, Governs, Limit, least
from fieldapp.statics.make import with_section
from fieldapp.statics.response import Response, response
from fieldapp.statics.wind import WindLimit, pressure_mpa, wind_directions

OF_PULL = 0.5
"""Part of what joints have left beside the weight that a load is told to use: it is worked out on feet that stay, in
first order [1]. Source: our choice, as LOOSE_STRENGTH of the feet. Test: tests/plan/test_joint_bounds.py"""


def joint_bounds(stage: Bearing, kind: str, own: Sequence[Limit]) -> Iterable[Limit]:
    """Limits of a kind by joints that are pulled apart; none where nobody tested what they hold.

    Source: (S32). Test: tests/plan/test_joint_bounds.py
    """
    pull_n = _tested(stage.case)
    answer = _ANSWERS.get(kind)
    return answer(stage, pull_n, own) if answer and pull_n is not None and len(stage.of.stage.struts) else ()


@remembered(4, by=lambda case: case.design)
def _tested(case: Case) -> FloatArray | None:
    """(m,) what the joints of each strut bear [N]; infinite where nobody tested those of its section; None: of none."""
    if not any(case.design.joints_tested):
        return None
    of = {name: joint_pull_n(with_section(case.design, name)) for name in case.frame.sections}
    return np.array([np.inf if (held := of[name]) is None else held for name in case.frame.section_of])


def least_joint_pull_n(case: Case) -> float | None:
    """The least that any joint bears [N]; None where those of some section were not tested."""
    held = _tested(case)
    return None if held is None or not np.isfinite(held).all() else float(held.min(initial=np.inf))


def pulls_n(answer: Response) -> FloatArray:
    """(k, struts, 2) pull at both ends of every strut: the larger of root and joint; negative where pressed."""
    ends = answer.arms[..., 0].reshape(len(answer.arms), -1, 2, 2)  # (case, strut, end, root or joint)
    return np.asarray(ends.max(axis=3))


def _under_weight(stage: Bearing) -> FloatArray:
    """(struts, 2) the largest pull under 1.35 × weight and by what is locked in, by every theory and in the most
    harmful ways to stand."""
    most = [GAMMA_G * pulls_n(answer) for answer in stage.of.weights]
    more = pulled_on_feet(stage)
    return np.asarray(np.concatenate([*most, *([pulls_n(more)] if more else [])]).max(axis=0)) + stage.locked.pull_n


def most_pulled(stage: Bearing) -> Limit:
    """The joint that is pulled most under 1.35 × weight and by what is locked in, and with what force [N].

    No limit but what a joint must bear; what a test says that it bears counts in every limit.

    Source: (S32), (P26). Test: tests/plan/test_joint_bounds.py
    """
    pulled = _under_weight(stage) if len(stage.of.stage.struts) else np.zeros((0, 2))
    if not pulled.size:
        return Limit(JOINT, 0.0)
    return Limit(JOINT, max(0.0, float(pulled.max())), "", _at(stage, int(pulled.argmax())))


def _at(stage: Bearing, spot: int) -> Governs:
    strut = int(stage.of.stage.struts[spot // 2])
    model = stage.of.stage.model
    return Governs(JOINT, model.strut_names[strut], model.hub_names[int(model.ends[strut, spot % 2])])


def _weight(stage: Bearing, pull_n: FloatArray, _own: Sequence[Limit]) -> Iterator[Limit]:
    pulled, holds_n = _under_weight(stage), _spots(stage, pull_n * _lasting(stage))
    most = np.where(pulled > 0, holds_n / np.where(pulled > 0, pulled, 1.0), np.inf)
    if pulled.max() > 0:
        yield Limit(WEIGHT, float(most.min()), "", _at(stage, int(most.argmin())))


def _lasting(stage: Bearing) -> FloatArray:
    """(m,) share of what joints bear that the weight may use for as long as the frame stands."""
    return np.minimum(stage.case.model.arm_lasting, stage.case.tubes.lasting)


def _spots(stage: Bearing, of_struts: FloatArray) -> FloatArray:
    """(struts, 1) values of the stage's struts, for both ends."""
    return np.asarray(of_struts[stage.of.stage.struts][:, None])


def _pushed(stage: Bearing, pull_n: FloatArray, unit: Response, places: Sequence[Limit]) -> Iterator[Limit]:
    """Three unit cases a place: the worst direction pulls by the length of the three."""
    ends = unit.arms[..., 0].reshape(len(places), 3, -1, 2, 2)  # (place, axis, strut, end, root or joint)
    grows = np.sqrt(np.square(ends).sum(axis=1)).max(axis=3).reshape(len(places), -1)
    left = np.maximum(_spots(stage, pull_n) - np.maximum(_under_weight(stage), 0.0), 0.0).ravel() * OF_PULL
    most = np.where(grows > 0, left / np.where(grows > 0, grows, 1.0), np.inf)
    for place, far in zip(places, most, strict=True):
        yield Limit(place.kind, float(far.min()), place.at, _at(stage, int(far.argmin())))


def _pushes(stage: Bearing, pull_n: FloatArray, own: Sequence[Limit]) -> Iterator[Limit]:
    numbers = np.array([stage.of.stage.model.hub_index[limit.at] for limit in own], dtype=np.int64)
    unit = response(stage.of.ready, loads.unit_pushes(stage.of.stage, numbers)) * GAMMA_Q
    yield from _pushed(stage, pull_n, unit, own)


def _free_ends(stage: Bearing, pull_n: FloatArray, own: Sequence[Limit]) -> Iterator[Limit]:
    """Its own joint is pulled by the push and by the strut's weight; the others through the hub."""
    hubs = {limit.at: limit.governs.hub for limit in own if limit.governs}
    for limit in own:
        strut = stage.case.model.strut_index[limit.at]
        weight_n = float(stage.case.model.tube_weight_n_mm[strut] * stage.case.model.axes.length_mm[strut])
        own_n = max(0.0, float(pull_n[strut]) - GAMMA_G * weight_n) * OF_PULL / GAMMA_Q
        yield Limit(FREE_END, own_n, limit.at, Governs(JOINT, limit.at, hubs.get(limit.at, "")))
    held = carried_by(stage.of.stage, list(hubs.items()))
    if held:
        unit = response(stage.of.ready, end_pushes(stage.of.stage, held)) * GAMMA_Q
        yield from _pushed(stage, pull_n, unit, [Limit(FREE_END, np.inf, strut) for strut, _ in held])


def given_loads(stage: Bearing, unit: Response, places: Sequence[Limit]) -> tuple[Limit, ...]:
    """Limits of k given loads by joints, from a case of each at 1 unit with its factor; as they are if none is tested.

    Source: (S32). Test: tests/plan/test_joint_bounds.py
    """
    pull_n = _tested(stage.case)
    return tuple(places) if pull_n is None else tuple(map(least, zip(places, _given(stage, pull_n, unit, places),
                                                                     strict=True)))


def _given(stage: Bearing, pull_n: FloatArray, unit: Response, places: Sequence[Limit]) -> Iterator[Limit]:
    grows = np.maximum(pulls_n(unit), 0.0).reshape(len(places), -1)
    left = np.maximum(_spots(stage, pull_n) - np.maximum(_under_weight(stage), 0.0), 0.0).ravel() * OF_PULL
    most = np.where(grows > 0, left / np.where(grows > 0, grows, 1.0), np.inf)
    for place, far in zip(places, most, strict=True):
        yield Limit(place.kind, float(far.min()), place.at, _at(stage, int(far.argmin())))


def _wind(stage: Bearing, pull_n: FloatArray, own: Sequence[Limit]) -> Iterator[Limit]:
    gust = response(stage.of.ready, loads.wind(stage.of.stage, wind_directions())) * GAMMA_Q
    worst = least(_given(stage, pull_n, gust, [Limit(WIND, np.inf)] * len(gust.arms)))
    for limit in own:
        if isinstance(limit, WindLimit) and np.isfinite(worst.value) and limit.value > 0:
            speed = limit.value * float(np.sqrt(worst.value / pressure_mpa(limit.value)))
            yield as_wind_limit(FeetBound(speed, worst.governs), limit)


def _low(stage: Bearing, pull_n: FloatArray, own: Sequence[Limit]) -> Iterator[Limit]:
    """Each foot or carrier in turn 1 mm low; a foot for as long as the frame stands."""
    of, index = stage.of, stage.case.model.hub_index
    carrying = set(of.stage.ends.ravel().tolist())
    hubs = [hub for hub in (*stage.fitted.stands_on, *stage.fitted.carried_at) if index[hub] in carrying]
    if not own or not hubs:
        return
    kind = own[0].kind
    low = np.zeros((len(hubs), *of.stage.fixed.shape))  # (case, hub, dof)
    low[np.arange(len(hubs)), [index[hub] for hub in hubs], 2] = -1.0
    unit = response(of.ready, loads.on_hubs(of.stage, np.zeros_like(low)), low)
    holds_n = pull_n * _lasting(stage) if kind == LOW_HUB else pull_n
    yield least(_given(stage, holds_n, unit, [Limit(kind, np.inf, hub) for hub in hubs]))


_ANSWERS = {WEIGHT: _weight, PUSH: _pushes, FREE_END: _free_ends, WIND: _wind, LOW_HUB: _low, LAG: _low}
"""By kind of limit (in no formula)."""

ALL_SOURCES = {"feet": feet_bounds, "joints": joint_bounds}
"""Every source of bounds by name, in the order in which they are asked (in no formula)."""
