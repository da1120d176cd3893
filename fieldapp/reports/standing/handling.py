"""What hands, wind and uneven ground ask of a stage on top of its weight, each as far as the crew is told to go.

A weak part at a place where people push or the wind works sits badly, however little weight comes there. So
these count where parts are given out and where breaks are explained:

* a strut that hangs on one arm until its other end is in: 1.35 × its weight;
* a push by mistake at the hub of the step, `crew.push_n` in its worst direction, with 1.0 × weight (an accidental
  design situation, EN 1990 6.4.3.3, Steel Buildings in Europe, part 3, 3.2.4);
* wind from 24 directions at the gust at which the crew clears the stage: 1.35 × weight + 1.5 × wind;
* one ground hub or carrier as low as the stage bears, a foot that hangs free where it may: 1.35 × weight.

The last two where a level is closed, since there a frame is left standing; in between it changes every few minutes.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q, WIND_ACTION_FRACTIONS, WIND_PRESSURE_PA_PER_M2_S2
from fieldapp.base.units import mpa_from_pa
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.feet_bounds import pulled_on_feet
from fieldapp.plan.plan import Step
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics import loads
from fieldapp.statics.governs import ends_before
from fieldapp.statics.limits import hanging_utilisations
from fieldapp.statics.response import SIGNS, Response, response
from fieldapp.statics.solved import Solved
from fieldapp.statics.tube_limits import pushed_tube_use
from fieldapp.statics.tubes import tube_utilisation
from fieldapp.statics.wind import wind_directions

STRONGEST_GUST_M_S = 20.0
"""Nobody builds in more, however much the frame bears: the gusts of a strong breeze [m/s].
Source: our choice. Test: tests/reports/standing/test_demand.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Handling:
    """One stage: the largest use over hands, wind and ground."""

    stations: FloatArray
    """(struts × 4) arm utilisation at root and joint of both ends."""
    tubes: FloatArray
    """(struts,) tube utilisation."""


def handling(stage: StageAnalysis, of: Solved, step: Step, *, stays: bool) -> Handling:
    """Uses of a stage that stands, and of the arms that hold the struts of its last step while these go in.

    `stays` if it may be left standing: then wind and uneven ground count as well.

    Source: (R1): EN 1990 6.4.3.3. Test: tests/reports/standing/test_demand.py
    """
    pushed, tubes = _push(stage, of, step.hub)
    by_hand = np.maximum(pushed, _hanging(of, step))
    if not stays:
        return Handling(by_hand, tubes)
    (blown, blown_tubes), (sunk, sunk_tubes) = _wind(stage, of), _ground(stage, of)
    return Handling(np.max([by_hand, blown, sunk], axis=0), np.max([tubes, blown_tubes, sunk_tubes], axis=0))


def _hanging(of: Solved, step: Step) -> FloatArray:
    """Use at the root of each arm that holds a strut of the step alone for a while; 0 elsewhere, and at hinges."""
    model, found = of.stage.model, np.zeros((len(of.stage.model.strut_names), 4))
    held = {insertion.strut: insertion.hub for insertion in step.struts if step.joins or not insertion.closes}
    for strut, use in hanging_utilisations(model, held.items()).items():
        row = model.strut_index[strut]
        found[row, 2 * int(model.ends[row, 1] == model.hub_index[held[strut]])] = use if np.isfinite(use) else 0.0
    return np.asarray(found[of.stage.struts].ravel())


def _push(stage: StageAnalysis, of: Solved, hub: str) -> tuple[FloatArray, FloatArray]:
    """Every arm and tube if the hub is pushed in the direction that is worst for it; see `worst_push`, (S23)."""
    at = of.stage.model.hub_index[hub]
    weight = np.abs(of.weight.components[0] @ SIGNS)
    if at not in of.stage.ends or of.stage.fixed[at, :3].all():
        return np.asarray(weight.max(axis=1, initial=0.0)), np.zeros(len(of.stage.struts))
    push_n = stage.case.design.crew.push_n
    unit = response(of.ready, loads.unit_pushes(of.stage, np.array([at])))
    slopes = np.linalg.norm(unit.components @ SIGNS, axis=0)
    tubes = pushed_tube_use(of.weight, unit, stage.case.tubes, np.array([push_n]))[0]
    return np.asarray((weight + push_n * slopes).max(axis=1)), tubes


def _wind(stage: StageAnalysis, of: Solved) -> tuple[FloatArray, FloatArray]:
    """Arms and tubes at the gust at which the stage is cleared; weight alone while it is carried."""
    if stage.wind is None:
        return _uses(of.weight * GAMMA_G, stage)
    gust_m_s = min(WIND_ACTION_FRACTIONS[-1] * stage.wind.value, STRONGEST_GUST_M_S)
    gust = response(of.ready, loads.wind(of.stage, wind_directions())) * GAMMA_Q
    return _uses(gust * mpa_from_pa(WIND_PRESSURE_PA_PER_M2_S2 * gust_m_s**2) + of.weight * GAMMA_G, stage)


def _ground(stage: StageAnalysis, of: Solved) -> tuple[FloatArray, FloatArray]:
    """Arms and tubes if one of the hubs that bear the stage sits as low as its limit lets it: a foot may hang free."""
    on_feet = pulled_on_feet(stage.bearing) if stage.bearing and ends_before(stage.lag) else None
    if on_feet is not None:
        return (_use(on_feet) / of.stage.model.arm_lasting,
                np.asarray(tube_utilisation(on_feet, stage.case.tubes.under_weight).max(axis=0)))
    numbers, low_mm = _borne(stage, of), stage.lag.value
    if not len(numbers) or not np.isfinite(low_mm):
        return _uses(of.weight * GAMMA_G, stage)
    left, capacity = (1.0, stage.case.tubes) if stage.fitted.carried_at else \
        (of.stage.model.arm_lasting, stage.case.tubes.under_weight)
    low = np.zeros((len(numbers), *of.stage.fixed.shape))  # (case, hub, dof)
    low[np.arange(len(numbers)), numbers, 2] = -low_mm
    sunk = response(of.ready, loads.on_hubs(of.stage, np.zeros_like(low)), low) + of.weight * GAMMA_G
    return _use(sunk) / left, np.asarray(tube_utilisation(sunk, capacity).max(axis=0))


def _borne(stage: StageAnalysis, of: Solved) -> IntArray:
    """Numbers of the hubs on the ground or carried that carry a strut."""
    index = of.stage.model.hub_index
    numbers = np.array([index[hub] for hub in (*stage.fitted.stands_on, *stage.fitted.carried_at)], dtype=np.int64)
    return np.asarray(numbers[np.isin(numbers, of.stage.ends)])


def _uses(answer: Response, stage: StageAnalysis) -> tuple[FloatArray, FloatArray]:
    """(struts × 4) largest arm utilisation and (struts,) largest tube utilisation over all cases."""
    return _use(answer), np.asarray(tube_utilisation(answer, stage.case.tubes).max(axis=0))


def _use(answer: Response) -> FloatArray:
    """(struts × 4) largest arm utilisation over all cases."""
    return np.asarray(np.abs(answer.components).sum(axis=2).max(axis=0))
