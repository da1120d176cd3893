"""What follows from fitting a part before its turn: what must then be held, what can then only go in with play."""

from collections.abc import Collection
from dataclasses import dataclass

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import Frame
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.assemble import FIXING_STRUTS_ABOVE, FIXING_STRUTS_GROUND, other_hub
from fieldapp.plan.plan import Plan
from fieldapp.reports.standing import Hold, LooseEnd, Standing, standing


@dataclass(frozen=True, slots=True)
class Consequence:
    """One place filled, in or out of its turn. Words: `wording.ahead`."""

    place: str
    in_plan: bool
    """False if the way leaves this place out."""
    waits_for: tuple[str, ...]
    """Places that should be filled before; empty if it is its turn."""
    after: Standing
    holds: tuple[Hold, ...]
    """Hubs to hold because of it."""
    loose: tuple[LooseEnd, ...]
    """Struts that hang on one hub because of it."""
    play: tuple[str, ...]
    """Strut places that now only go in if their hubs are eased apart, though the plan has them go in freely."""


@remembered(16)
def consequence(site: Setting, state: State, place: str) -> Consequence:
    """What follows from filling `place` now, or from having filled it.

    Parameters
    ----------
    site : Setting
    state : State
        Before or after the part is fitted.
    place : str
        A place of the frame; KeyError if there is none.
    """
    kit, plan = site.kit, site.plan
    kit.by_place[place]
    without, filled = state.if_empty([place]), state.if_filled(place)
    before, after = standing(site, without), standing(site, filled)
    in_plan = place in plan.step_of
    waits = plan.lacks(place, without.is_fitted) if in_plan else ()
    play = set(needs_play(kit.frame, plan, filled.fitted)) - set(needs_play(kit.frame, plan, without.fitted))
    was = {end.strut for end in before.loose_ends}
    return Consequence(place, in_plan, waits, after,
                       holds=tuple(hold for hold in after.holds if hold.hub not in before.held_hubs),
                       loose=tuple(end for end in after.loose_ends if end.strut not in was),
                       play=tuple(sorted(play)) if waits else ())


def needs_play(frame: Frame, plan: Plan, fitted: Collection[str]) -> tuple[str, ...]:
    """Open strut places that can only go in with play now, though the plan has them go in freely.

    Notes
    -----
    A hub is fixed by its first three struts, on the ground by its first; a strut between two fixed hubs
    needs play, as in the plan. A hub that goes in amid others takes as many struts freely as fix it.
    """
    closes = {item.strut for step in plan.steps for item in step.struts if item.closes}
    open_struts = [name for name in (item.strut for step in plan.steps for item in step.struts)
                   if name not in fitted and name not in closes]
    fixed = {hub.name for hub in frame.hubs if hub.name in fitted and _ties(frame, hub.name, fitted) >= _fixing(
        frame, hub.name)}
    between = {name for name in open_struts if {frame.strut(name).end_1.hub, frame.strut(name).end_2.hub} <= fixed}
    return tuple(sorted(between | _beyond(frame, plan, fitted, open_struts=open_struts)))


def _beyond(frame: Frame, plan: Plan, fitted: Collection[str], *, open_struts: list[str]) -> set[str]:
    """Struts that come too many at an open hub, because their far hub went in before it."""
    found: set[str] = set()
    for hub in frame.hubs:
        if hub.name in fitted or hub.name not in plan.step_of:
            continue
        ties = [arm.strut for arm in hub.arms if arm.strut in open_struts
                and other_hub(frame.strut(arm.strut), hub.name) in fitted]
        foreign = [strut for strut in ties if plan.step_of[strut] != plan.step_of[hub.name]]
        found.update(foreign[:max(0, len(ties) - _fixing(frame, hub.name))])
    return found


def _fixing(frame: Frame, hub: str) -> int:
    return FIXING_STRUTS_GROUND if frame.hub(hub).on_ground else FIXING_STRUTS_ABOVE


def _ties(frame: Frame, hub: str, fitted: Collection[str]) -> int:
    """Fitted struts from `hub` to hubs that are in."""
    return sum(arm.strut in fitted and other_hub(frame.strut(arm.strut), hub) in fitted
               for arm in frame.hub(hub).arms)
