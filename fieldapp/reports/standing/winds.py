"""Wind in two lines for what stands: its feet loose, and held as the plan has it; which of the two counts."""

from dataclasses import dataclass, replace

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Kit
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.case import case_of
from fieldapp.plan.fitted import Fitted, lies_flat
from fieldapp.plan.footing import footing_of
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.parts.own_numbers import OwnNumbers
from fieldapp.reports.raising import progress
from fieldapp.reports.raising.pegs import last_standing
from fieldapp.reports.standing import judging_of, standing, weakened_case
from fieldapp.statics.untested import is_untested
from fieldapp.statics.wind import WindLimit


@dataclass(frozen=True, slots=True)
class TwoWinds:
    """Gusts that one stage bears."""

    loose: WindLimit | None
    """With nothing at its feet; None while it is carried or does not stand."""
    held: WindLimit | None
    """With its feet held as planned; None if the design gives nothing that holds, or the plan asks for nothing."""
    is_held: bool = False
    """True if all that is planned for it is logged: then the second line counts, else the first."""


def somebody_works(site: Setting, state: State) -> bool:
    """True while the frame goes up or comes down: then people are on ladders, and come down before it gives way."""
    whole = progress(site.plan, state)
    return state.phase == "striking" or whole.fitted < whole.needed


def two_winds(site: Setting, state: State) -> TwoWinds:
    """Of what really stands, with what is left of its parts.

    Raises
    ------
    StaticsError
        If sizes, materials or break tests of the design give no answer.
    """
    by = judging_of(site, state)
    if lies_flat(site.kit.frame, by.fitted):
        return TwoWinds(None, None)
    planned = tuple(sorted(foot.hub for foot in site.plan.held_before(last_standing(site.plan, state) + 1)
                           if foot.hub in by.fitted.stands_on))
    loose, held = _as_known(site, state, ()), None
    if planned and footing_of(site.kit.design.ground, planned, planned).is_held:
        held = _as_known(site, state, planned)
    return TwoWinds(loose, held, bool(planned) and set(planned) <= set(state.held_feet))


def _as_known(site: Setting, state: State, pegged: tuple[str, ...]) -> WindLimit | None:
    """The wind with these feet held; taken from what stands where that is so now."""
    by = judging_of(site, state)
    if by.fitted.pegged == pegged:
        return standing(site, state).wind
    return _wind(site.kit, replace(by.fitted, pegged=pegged), by.own)


def finished_winds(kit: Kit, plan: Plan) -> TwoWinds:
    """Of the whole frame, sound, for paper."""
    fitted = fitted_after(plan, len(plan.steps))
    planned = tuple(sorted(foot.hub for foot in plan.held_before(len(plan.steps) + 1)))
    holds = bool(planned) and footing_of(kit.design.ground, planned, planned).is_held
    return TwoWinds(_wind(kit, replace(fitted, pegged=()), OwnNumbers()),
                    _wind(kit, replace(fitted, pegged=planned), OwnNumbers()) if holds else None)


@remembered(16, by=lambda kit, *rest: (kit.design, rest))
def _wind(kit: Kit, fitted: Fitted, own: OwnNumbers) -> WindLimit | None:
    """Of a stage that stands by itself; None else, while hands hold it, and where nobody has tested what it bears."""
    if is_untested(kit.design) or fitted.held:
        return None
    stage = analysis(weakened_case(case_of(kit), own), fitted)
    return stage.wind if fitted.struts and stage.stands else None
