"""The verdict on a part: a reason to keep it out comes before everything else, then the verdict on its place."""

from dataclasses import replace

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.standing import bearing
from fieldapp.reports.verdict.place import place_verdict
from fieldapp.reports.verdict.record import Sign, Verdict


def part_verdict(site: Setting, state: State, part: str) -> Verdict:
    """May this part go in, or come out; PartIdError if there is none."""
    past, place = state.parts[state.part(part).id], state.home_of(part)
    if past.fitted_at:
        return replace(place_verdict(site, state, past.fitted_at), about=part, remarks=past.reasons)
    if not may_go_in(state, state.part(part).id):
        return _of_no_place(site, state, part, "stop")
    if state.phase == "striking" or place is None or state.is_fitted(place):
        return _of_no_place(site, state, part, "spare")
    return replace(place_verdict(site, state, place), about=part, remarks=past.reasons)


def _of_no_place(site: Setting, state: State, part: str, sign: Sign) -> Verdict:
    return Verdict(part, state.last_number, sign, now=bearing(site, state), remarks=state.parts[part].reasons)
