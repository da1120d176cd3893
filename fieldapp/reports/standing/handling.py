"""What hands, wind and uneven ground ask of a stage on top of its weight, each as far as the crew is told to go.

A weak part at a place where people push or the wind works sits badly, however little weight comes there. So
these count where parts are given out and where breaks are explained:

* a strut that hangs on one arm until its other end is in: 1.35 × its weight;
* a push by mistake at the hub of the step, `crew.push_n` in its worst direction, with 1.0 × weight (an accidental
  design situation, EN 1990 6.4.3.3, from memory): the "use with a push" of the booklet;
* wind from 24 directions at the gust at which the crew clears the stage: 1.35 × weight + 1.5 × wind;
* one ground hub or carrier as low as the stage bears: 1.35 × weight.

The last two where a level is closed, since there a frame is left standing; in between it changes every few minutes.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q, WIND_ACTION_FRACTIONS, WIND_PRESSURE_PA_PER_M2_S2
from fieldapp.base.units import mpa_from_pa
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.plan import Step
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics import loads
from fieldapp.statics.limits import hanging_utilisations
from fieldapp.statics.response import SIGNS, load_factors, response
from fieldapp.statics.solved import Solved
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
    """(struts,) in the wind."""


def handling(stage: StageAnalysis, of: Solved, step: Step, *, stays: bool) -> Handling:
    """Uses of a stage that stands, and of the arms that hold the struts of its last step while these go in.

    `stays` if it may be left standing: then wind and uneven ground count as well.

    Source: (R1): EN 1990 6.4.3.3 (from memory). Test: tests/reports/standing/test_demand.py
    """
    by_hand = np.maximum(_push(stage, of, step.hub), _hanging(of, step))
    if not stays:
        return Handling(by_hand, np.zeros(len(of.stage.struts)))
    blown, tubes = _wind(stage, of)
    return Handling(np.max([by_hand, blown, _ground(stage, of)], axis=0), tubes)


def _hanging(of: Solved, step: Step) -> FloatArray:
    """Use at the root of each arm that holds a strut of the step alone for a while; 0 elsewhere, and at hinges."""
    model, found = of.stage.model, np.zeros((len(of.stage.model.strut_names), 4))
    held = {insertion.strut: insertion.hub for insertion in step.struts if step.joins or not insertion.closes}
    for strut, use in hanging_utilisations(model, held.items()).items():
        row = model.strut_index[strut]
        found[row, 2 * int(model.ends[row, 1] == model.hub_index[held[strut]])] = use if np.isfinite(use) else 0.0
    return np.asarray(found[of.stage.struts].ravel())


def _push(stage: StageAnalysis, of: Solved, hub: str) -> FloatArray:
    """Use of every arm if the hub is pushed in the direction that is worst for it, exactly; see `worst_push`."""
    at = of.stage.model.hub_index[hub]
    weight = np.abs(of.weight.components[0] @ SIGNS)
    if at not in of.stage.ends or of.stage.fixed[at, :3].all():
        return np.asarray(weight.max(axis=1, initial=0.0))
    unit = response(of.ready, loads.unit_pushes(of.stage, np.array([at]))).components
    slopes = np.linalg.norm(unit @ SIGNS, axis=0)
    return np.asarray((weight + stage.case.design.crew.push_n * slopes).max(axis=1))


def _wind(stage: StageAnalysis, of: Solved) -> tuple[FloatArray, FloatArray]:
    """Arms and tubes at the gust at which the stage is cleared; weight alone while it is carried."""
    total = of.weight * GAMMA_G
    if stage.fitted.carried_at:
        return _use(of.design_components[None]), tube_utilisation(total, stage.case.tubes)[0]
    gust = response(of.ready, loads.wind(of.stage, wind_directions())) * GAMMA_Q
    strongest_mpa = mpa_from_pa(WIND_PRESSURE_PA_PER_M2_S2 * STRONGEST_GUST_M_S**2)
    bears_mpa = float(load_factors(of.design_components, gust.components).min(initial=np.inf))
    mpa = min(WIND_ACTION_FRACTIONS[-1]**2 * bears_mpa, strongest_mpa)
    both = gust * mpa + total
    return _use(both.components), np.asarray(tube_utilisation(both, stage.case.tubes).max(axis=0))


def _ground(stage: StageAnalysis, of: Solved) -> FloatArray:
    """Arms if one of the hubs that bear the stage sits as low as its limit lets it."""
    numbers = _borne(stage, of)
    low = np.zeros((len(numbers), *of.stage.fixed.shape))  # (case, hub, dof)
    low[np.arange(len(numbers)), numbers, 2] = -1.0
    sunk = response(of.ready, loads.on_hubs(of.stage, np.zeros_like(low)), low).components
    low_mm = float(load_factors(of.design_components, sunk).min(initial=np.inf))
    return _use(of.design_components + sunk * low_mm) if np.isfinite(low_mm) else _use(of.design_components[None])


def _borne(stage: StageAnalysis, of: Solved) -> IntArray:
    """Numbers of the hubs on the ground or carried that carry a strut."""
    index = of.stage.model.hub_index
    numbers = np.array([index[hub] for hub in (*stage.fitted.stands_on, *stage.fitted.carried_at)], dtype=np.int64)
    return np.asarray(numbers[np.isin(numbers, of.stage.ends)])


def _use(parts: FloatArray) -> FloatArray:
    """(s,) largest arm utilisation over all cases of (k, s, 3) parts."""
    return np.asarray(np.abs(parts).sum(axis=2).max(axis=0))
