"""The verdict on a place: empty or filled, going up or coming down."""

from dataclasses import replace

from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.standing import bearing
from fieldapp.reports.verdict.below import is_sound_at
from fieldapp.reports.verdict.coming_out import place_out
from fieldapp.reports.verdict.everybody import NOT_BEGUN, halt
from fieldapp.reports.verdict.exchanging import while_exchanging
from fieldapp.reports.verdict.record import First, Hands, Sign, Verdict
from fieldapp.reports.verdict.together import beside_others
from fieldapp.statics.untested import is_untested


@remembered(512)
def place_verdict(site: Setting, state: State, place: str) -> Verdict:
    """May it be filled now, or emptied; KeyError if there is no such place."""
    site.kit.by_place[place]
    found, halted = as_tested(site, _judged(site, state, place)), halt(site, state)
    if halted is None or found.act == "":
        return found
    sign: Sign = "waits" if halted is NOT_BEGUN else "stop"
    return replace(found, sign=sign, first=(halted, *found.first), hands=Hands(keep=found.now.holds), after=None)


def as_tested(site: Setting, found: Verdict) -> Verdict:
    """The verdict, green only where somebody has tested what the parts bear."""
    return replace(found, sign="unknown") if found.sign == "now" and is_untested(site.kit.design) else found


def _judged(site: Setting, state: State, place: str) -> Verdict:
    """The same while nothing stops everybody."""
    if state.exchanging is not None:
        return while_exchanging(site, state, state.exchanging, place)
    striking, in_plan = state.phase == "striking", place in site.plan.step_of
    if state.is_fitted(place) and not striking:
        return _fitted(site, state, place)
    if state.is_fitted(place):
        return beside_others(site, state, place) if in_plan else place_out(site, state, place)
    if striking or not in_plan:
        return Verdict(place, state.last_number, "empty", now=bearing(site, state))
    return beside_others(site, state, place)


def _fitted(site: Setting, state: State, place: str) -> Verdict:
    """Of a place that is filled while the frame goes up or stands: done, unless what sits there must be replaced."""
    past, now = state.parts[state.fitted[place]], bearing(site, state)
    if is_sound_at(state, place):
        return Verdict(place, state.last_number, "fitted", now=now, remarks=past.reasons)
    return Verdict(place, state.last_number, "stop", first=(First("replace", (place,), below=True),), now=now,
                   remarks=past.reasons)
