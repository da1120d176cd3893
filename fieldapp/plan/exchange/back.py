"""Where a part cannot be exchanged as the frame stands: how far the strike must go back first."""

from dataclasses import dataclass, replace

from fieldapp.plan.exchange.course import exchange
from fieldapp.plan.exchange.hands import bears
from fieldapp.plan.exchange.record import ExchangeCase
from fieldapp.plan.fitted import Fitted, fitted_after
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis
from fieldapp.plan.teams import TEAM_PEOPLE


@dataclass(frozen=True, slots=True)
class WayBack:
    """The latest stage of the way back at which a part can be exchanged."""

    step: int | None
    """Number of the last step that stands then; the one before its own: there it comes out with its own step. None if
    some stage on the way there does not stand with the broken part in."""
    stuck_at: int | None = None
    """Number of the step that stands when the way back is barred."""

    @property
    def whole_way(self) -> bool:
        """True if there is one."""
        return self.step is not None


def way_back(of: ExchangeCase, plan: Plan, place: str) -> WayBack:
    """The strike step by step, from what stands; each stage with the broken part in must stand.

    Source: (P24). Test: tests/plan/test_exchange.py

    Parameters
    ----------
    of : ExchangeCase
        As it stands now, where `exchange` is not safe.
    plan : Plan
        Its steps are taken back, the last first.
    place : str
        A place that the plan fills.
    """
    own = plan.step_of[place]
    last = max((step.number for step in plan.steps if any(p in _filled(of.fitted) for p in step.places)), default=0)
    for number in range(last - 1, own - 1, -1):
        stage = replace(of, fitted=_back_to(of.fitted, plan, number))
        if not _stands(stage, plan, number):
            return WayBack(None, number)
        if number > own and exchange(stage, place).safe:
            return WayBack(number)
    return WayBack(own)


def _filled(fitted: Fitted) -> frozenset[str]:
    return frozenset((*fitted.hubs, *fitted.struts))


def _back_to(now: Fitted, plan: Plan, number: int) -> Fitted:
    """What of it is left once the strike is back at a step."""
    then, filled = fitted_after(plan, number), _filled(now)
    return replace(then, hubs=tuple(hub for hub in then.hubs if hub in filled),
                   struts=tuple(strut for strut in then.struts if strut in filled),
                   stands_on=tuple(hub for hub in then.stands_on if hub in filled),
                   pegged=tuple(hub for hub in then.pegged if hub in now.pegged), last=(),
                   held=tuple(hub for hub in now.held if hub in then.hubs))


def _stands(of: ExchangeCase, plan: Plan, number: int) -> bool:
    """With the broken part in, on its supports; else with what is held already, what the plan has held, and as many
    more as the crew has hands for besides the team that works."""
    alone = analysis(of.broken, of.fitted)
    if bears(alone):
        return True
    planned = tuple(hub for hub in plan.steps[number - 1].holds if hub in of.fitted.hubs)
    held = tuple(dict.fromkeys((*of.fitted.held, *planned, *alone.holds)))
    return len(held) + len(of.fitted.carried_at) + TEAM_PEOPLE <= of.broken.design.crew.people and \
        bears(analysis(of.broken, replace(of.fitted, held=held)))
