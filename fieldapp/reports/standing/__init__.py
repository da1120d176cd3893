"""What really stands now, judged: what to hold, what the arms bear, how hard to push, what wind it stands.

Asked by every phone after every entry, so an answer is kept for as long as what is fitted, and how it
is weakened, stays the same. Words for it are in `wording.standing`: two phones may read it in two languages.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.assemble import neighbours
from fieldapp.plan.case import Case, case_of, weaker
from fieldapp.plan.onsite import fitted_on, resting_now
from fieldapp.reports.parts.own_numbers import OwnNumbers, own_numbers
from fieldapp.reports.raising.pegs import unpegged
from fieldapp.reports.standing.records import BREAKS_AT, Hold, HubUtilisation, LooseEnd, Standing
from fieldapp.reports.standing.stage import Judging, borne, gives_way, judged

__all__ = ["BREAKS_AT", "Hold", "HubUtilisation", "LooseEnd", "Standing", "bearing", "clears", "judging_of",
           "last_placed", "standing", "weakened_case"]


def standing(site: Setting, state: State, *, held: Iterable[str] = (), near: Iterable[str] | None = None
             ) -> Standing:
    """The stage analysis of what is really fitted, in or out of order.

    Parameters
    ----------
    site : Setting
        Kit, and the plan whose way says what a carried piece rests on.
    state : State
        What is fitted, damaged, mended.
    held : iterable of str, optional
        Hub places that are held or propped besides.
    near : iterable of str, optional
        Hub places taken for new holds where they serve as well as others; those at what is damaged if not
        given, so that all who ask about one moment ask the same.

    Returns
    -------
    Standing
        For any state. Equal questions are answered once.

    Raises
    ------
    StaticsError
        If sizes, materials or break tests of the design give no answer at all.
    """
    return _asked(_answer, site, state, tuple(held), near)


def bearing(site: Setting, state: State, *, held: Iterable[str] = (), near: Iterable[str] | None = None) -> Standing:
    """The same without its limits: whether it stands, what must be held, what its weight leaves of it.

    Many stages are asked about at once, all that may come next: each costs a part of `standing`, and says the same.
    """
    return _asked(_bearing, site, state, tuple(held), near)


def clears(site: Setting, state: State) -> bool:
    """True if `bearing` says "clear" of it: for less, where nothing else is asked."""
    return _gives_way(site.kit, judging_of(site, state, near=_near_damage(site.kit.frame, state)))


def _asked(answer: Callable[[Kit, Judging], Standing], site: Setting, state: State, held: tuple[str, ...],
           near: Iterable[str] | None) -> Standing:
    around = _near_damage(site.kit.frame, state) if near is None else tuple(near)
    found = answer(site.kit, judging_of(site, state, held=held, near=around))
    open_feet = unpegged(site.plan, state)
    return replace(found, unpegged=open_feet) if open_feet else found


def judging_of(site: Setting, state: State, *, held: tuple[str, ...] = (), near: tuple[str, ...] = ()) -> Judging:
    """All that an answer depends on besides the design."""
    frame, kept = site.kit.frame, state.exchanging.holds if state.exchanging else ()
    hubs = tuple(hub.name for hub in frame.hubs if hub.name in state.fitted)
    struts = tuple(strut.name for strut in frame.struts if strut.name in state.fitted)
    resting = resting_now(frame, site.plan, hubs=hubs, struts=struts)
    hands = [hub for hub in dict.fromkeys((*held, *kept)) if hub in state.fitted]
    fitted = fitted_on(resting, hubs, struts, last=last_placed(state, hubs, site.kit.design.crew.teams), held=hands,
                       pegged=state.held_feet)
    return Judging(fitted, resting, near, own_numbers(state, site.checklist))


def _near_damage(frame: Frame, state: State) -> tuple[str, ...]:
    """Hubs at and around what is damaged in the frame, the newest damage first: there the answer to it has hands."""
    hurt = [(state.index[defect.entry].position, place) for place, part in state.fitted.items()
            for defect in state.parts[part].defects if defect.unsafe and not defect.mended]
    found: list[str] = []
    for _position, place in sorted(hurt, reverse=True):
        if place in frame.hub_index:
            found += [place, *neighbours(frame, place)]
        else:
            found += [frame.strut(place).end_1.hub, frame.strut(place).end_2.hub]
    return tuple(dict.fromkeys(found))


def last_placed(state: State, hubs: Sequence[str], count: int) -> tuple[str, ...]:
    """The hubs placed last, newest last: there somebody may still lean and push."""
    def when(hub: str) -> tuple[int, str]:
        entry = state.index.get(state.parts[state.fitted[hub]].fitted_by or "")
        return entry.position if entry else (0, "")

    return tuple(sorted(hubs, key=when)[-count:])


@remembered(64, by=lambda kit, by: (kit.design, by))
def _answer(kit: Kit, by: Judging) -> Standing:
    return judged(weakened_case(case_of(kit), by.own), by)


@remembered(256, by=lambda kit, by: (kit.design, by))
def _bearing(kit: Kit, by: Judging) -> Standing:
    return borne(weakened_case(case_of(kit), by.own), by)


@remembered(512, by=lambda kit, by: (kit.design, by))
def _gives_way(kit: Kit, by: Judging) -> bool:
    return gives_way(weakened_case(case_of(kit), by.own), by)


def weakened_case(case: Case, own: OwnNumbers) -> Case:
    """The kit's statics with what is left of its arms and tubes, and its struts as long as they were measured."""
    arms: dict[tuple[str, int], float] = {}
    for hub, number, share in own.arms:
        arm = case.frame.hub(hub).arms[number - 1]
        arms[arm.strut, arm.end] = share
    arms |= dict.fromkeys(own.ends_gone, 0.0)
    tubes = {strut: share for strut, share in own.struts if share > 0.0}
    weak = weaker(case, arms, tubes) if arms or tubes else case
    return replace(weak, off_mm=own.off_mm) if own.off_mm else weak
