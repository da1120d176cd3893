"""The next lift of a piece that is built apart: who lifts where, how far, how evenly."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.bounds import LAG_BY_EYE_MM
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.lifting import lifters_for_mass
from fieldapp.plan.loaded import level_of
from fieldapp.plan.onsite import steps_done
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.stages import StageAnalysis, analysis, fitted_after
from fieldapp.reports.parts.own_numbers import own_numbers
from fieldapp.reports.raising import places_of
from fieldapp.statics.governs import LAG, Limit
from fieldapp.statics.stiffness import Unstable
from fieldapp.statics.untested import as_known, is_untested


@dataclass(frozen=True, slots=True)
class LiftOrder:
    """One lift as the plan has it. Words: `wording.ahead`."""

    step: int
    """The step that begins with it."""
    hubs: tuple[str, ...]
    """One carrier at each."""
    lift_mm: float
    mass_kg: float
    people: int
    """One at each hub, or more where the mass asks for them."""
    people_there: int
    """The crew."""
    lag: Limit
    """No carrier more than this behind the others [mm]; 0 if it does not hold even when lifted evenly."""
    arm_utilisation: float
    """Largest arm utilisation when lifted evenly, weight as it is; infinite if it does not hold."""
    steps_until: int
    """Steps still open before it; 0: lift now."""
    damaged: bool
    """True if what stands is weakened: ask for the figures of the frame as it stands before lifting."""

    @property
    def breaks(self) -> bool:
        """True if something is computed to break even when lifted as evenly as hands do it."""
        return self.lag.value < LAG_BY_EYE_MM


def next_lift(site: Setting, state: State) -> LiftOrder | None:
    """The next lift of the way that is followed; None if there is none, or none any more.

    Notes
    -----
    The lag is that of the piece as planned at that moment, sound, on its carriers. A lift is over as soon as anything
    of its step is in.
    """
    done = steps_done(site.plan, state.fitted, state.fitted)
    at = next((number for number, step in enumerate(site.plan.steps)
               if step.lift_mm > 0.0 and not any(map(state.is_fitted, places_of(step)))), None)
    if at is None:
        return None
    step = site.plan.steps[at]
    hubs, mass_kg, lag, use = _judged(site.kit, step, site.plan.steps[:at])
    weak = own_numbers(state, None)
    return LiftOrder(step.number, hubs, step.lift_mm, mass_kg, max(len(hubs), lifters_for_mass(mass_kg)),
                     site.kit.design.crew.people, lag, use, steps_until=sum(not yes for yes in done[:at]),
                     damaged=bool(weak.arms or weak.struts))


def lift_lag(kit: Kit, plan: Plan, number: int) -> Limit | None:
    """How far one carrier may be behind the others while a step's piece goes up, or comes down; None where unknown.

    Parameters
    ----------
    kit, plan : Kit, Plan
    number : int
        Of the step that begins with the lift, from 1.
    """
    if is_untested(kit.design) or all(step.use_weight is None for step in plan.steps):
        return None
    return _judged(kit, plan.steps[number - 1], plan.steps[:number - 1])[2]


@remembered(16, by=lambda kit, step, before: (kit.design, step, before))
def _judged(kit: Kit, step: Step, before: tuple[Step, ...]) -> tuple[tuple[str, ...], float, Limit, float]:
    """(carriers, mass, lag, arm utilisation)."""
    stage = _lifted(case_of(kit), step, before)
    piece = _piece(before, step)
    struts = [item.strut for done in before if done.hub in piece for item in done.struts]
    mass_kg = sum(kit.by_place[place].mass_kg for place in (*piece, *dict.fromkeys(struts)))
    if isinstance(stage.alone, Unstable):
        return step.carried_at, mass_kg, Limit(LAG, 0.0, "", stage.verdict.governs), np.inf
    lag = Limit(LAG, 0.0, "", stage.verdict.governs)
    if stage.loaded is not None and not stage.breaks:
        lag = level_of(stage.loaded, LAG, step.carried_at)
    return step.carried_at, mass_kg, as_known(kit.design, lag), stage.weight_utilisation.utilisation


def _piece(before: Sequence[Step], step: Step) -> frozenset[str]:
    return frozenset(done.hub for done in before if done.piece == step.piece)


def _lifted(case: Case, step: Step, before: tuple[Step, ...]) -> StageAnalysis:
    """What is in before the step, on the carriers of the step; hubs that stand apart from the piece go on standing."""
    fitted = fitted_after(Plan("", before, {}), len(before))
    piece = _piece(before, step)
    stands = tuple(hub for hub in step.stands_on if hub in fitted.hubs and hub not in piece)
    return analysis(case, replace(fitted, stands_on=stands, carried_at=step.carried_at))
