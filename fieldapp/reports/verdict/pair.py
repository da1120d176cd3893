"""The verdict on a pair: a strut and a hub that were scanned one after the other."""

from dataclasses import dataclass, replace

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.raising.pairing import Pairing, pairing
from fieldapp.reports.standing import bearing
from fieldapp.reports.verdict.part import part_verdict
from fieldapp.reports.verdict.record import Verdict


@dataclass(frozen=True, slots=True)
class Pair:
    """Two parts in hand, by printed ID."""

    strut: str
    hub: str


def pair_verdict(site: Setting, state: State, pair: Pair) -> Verdict:
    """May these two be put together now: green only where they belong together and both may go in or are in.

    Raises
    ------
    PartIdError
        If there is no such part, or one of them is of the other kind.
    """
    found = pairing(site.kit, state, strut=pair.strut, hub=pair.hub)
    about = f"{pair.strut} + {pair.hub}"
    if found.seat is None:
        return Verdict(about, state.last_number, "stop", now=bearing(site, state))
    return replace(part_verdict(site, state, _asked_first(site, state, found)), about=about)


def _asked_first(site: Setting, state: State, found: Pairing) -> str:
    """The part that decides: one that must not be used, the hub of their step if it is in hand still, or the strut."""
    for part in (found.hub, found.strut):
        if not (state.parts[part].usable if state.parts[part].fitted_at else may_go_in(state, part)):
            return part
    in_step = found.strut_place in site.plan.step_of and site.plan.step_for(str(found.strut_place)).hub
    return found.hub if in_step == found.hub_place and not state.parts[found.hub].fitted_at else found.strut
