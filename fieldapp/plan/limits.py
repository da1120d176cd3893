"""The kinds of limit on a stage, one record each: when it is worked out, in what unit, and how it is said everywhere.

Statics works out the number and what governs it (`statics.limits.Limit`). Whoever judges, prints or shows asks this
table for what is there, so that a new kind is its number in statics, its record here, and a test.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from fieldapp.base.said import Number, Said, row, say, say_n
from fieldapp.plan.bounds import LAG_BY_EYE_MM
from fieldapp.plan.fitted import lies_flat
from fieldapp.plan.free_ends import free_ends_of
from fieldapp.plan.plan import Step
from fieldapp.plan.stages import StageAnalysis
from fieldapp.plan.words import feels, force, speed
from fieldapp.statics.causes import gives_way, is_untested
from fieldapp.statics.governs import FREE_END, LAG, LOW_HUB, PUSH, WIND, Limit, ends_before
from fieldapp.statics.untested import as_known
from fieldapp.statics.wind import WindLimit, beaufort

Limits = Sequence[Limit]

MOST_LOOSE = 4
"""Loose ends named one by one [1]. Source: our choice. Test: tests/reports/standing/test_standing.py"""


def _nothing(*_given: object) -> tuple[()]:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitKind:
    """One kind of limit."""

    name: str
    unit: str
    beside: Literal["carry", "hold", "lean", "wind"] = "lean"
    """With what else it is said of what stands: who carries it, what to hold, where not to lean, the weather."""
    column: str = ""
    """Its column in the table of steps for other programs; empty: none."""
    of_step: Callable[[StageAnalysis, Step], Iterable[Limit]] = _nothing
    """Worked out when a plan is judged, for the stage after a step; kept in the step."""
    of_now: Callable[[StageAnalysis, bool], Iterable[Limit]] = _nothing
    """Worked out for what really stands; True if it stands without the holds that are held in the stage."""
    caution: Callable[[Step, Limits], Iterable[Said]] = _nothing
    """Said with a step of a plan where somebody might well pass it."""
    note: Callable[[Step, Limits], Iterable[Said]] = _nothing
    """Said with a step in the booklet, if no caution says it already."""
    at_place: Callable[[Limit], Iterable[Said]] = _nothing
    """Said on the page of the place that it belongs to."""
    now: Callable[[Limits, float], Iterable[Said]] = _nothing
    """Said of what stands; the number is the force with which somebody may lean by mistake [N]."""


def step_limits(stage: StageAnalysis, step: Step) -> tuple[Limit, ...]:
    """All limits that are told with a step."""
    return tuple(as_known(stage.case.design, limit) for kind in LIMITS.values() for limit in kind.of_step(stage, step))


def limits_now(stage: StageAnalysis, *, alone: bool) -> tuple[Limit, ...]:
    """All limits of what stands, alone or with its holds held."""
    return tuple(as_known(stage.case.design, limit) for kind in LIMITS.values() for limit in kind.of_now(stage, alone))


def limit_cautions(step: Step) -> Iterator[Said]:
    """What a step's limits warn of."""
    for kind in LIMITS.values():
        yield from kind.caution(step, step.limits_of(kind.name))


def limit_notes(step: Step) -> Iterator[Said]:
    """What the booklet says of a step's limits besides its cautions."""
    for kind in LIMITS.values():
        yield from kind.note(step, step.limits_of(kind.name))


def limits_at(step: Step, place: str, now: Iterable[Limit] = ()) -> Iterator[Said]:
    """What the page of a place says of its limits in a step; nothing where any load is borne.

    `now`: limits of what stands; where they are lower than the step's, they are told.
    """
    lowest: dict[str, Limit] = {}
    for limit in (*step.limits, *now):
        if limit.at == place and math.isfinite(limit.value) and limit.value < lowest.get(limit.kind, _ANY).value:
            lowest[limit.kind] = limit
    found = tuple(lowest.values())
    for limit in found:
        yield from LIMITS[limit.kind].at_place(limit)
    if found:
        yield from _joints(step)


_ANY = Limit("", math.inf)
"""Any load is borne."""

JOINTS_UNTESTED = say("Joints: not tested.")
"""Said with the limits of a place where the design has no pull test of its joints: none knows what pulls one apart; a
book says it once, on its first page."""


def _joints(step: Step) -> Iterator[Said]:
    if not step.joints_tested:
        yield JOINTS_UNTESTED


LIFT_UNTESTED = say("Lift evenly: how far a carrier may be behind the others is unknown, not tested.")
"""Said of a lift where nobody has tested what the parts bear."""
ON_PROPS = say("Set it on wedged props before anything goes in or comes out: hands do not keep it level enough.")
"""Of a piece that bears less unevenness than hands keep it within."""


def _push_untested(hub: str) -> Said:
    return say("How hard {hub} may be pushed is unknown: not tested. Do not lean on it.", hub=hub)


def _end_untested(strut: str) -> Said:
    return say("Hold the free end of {strut}: how hard it may be pushed is unknown, not tested.", strut=strut)


def _lag(stage: StageAnalysis, _of: Step | bool) -> Iterator[Limit]:
    if stage.lag.kind == LAG:
        yield stage.lag


def _lift_evenly(step: Step, found: Limits) -> Iterator[Said]:
    for limit in found:
        if is_untested(limit):
            yield LIFT_UNTESTED
        elif limit.value < LAG_BY_EYE_MM:
            yield ON_PROPS
        elif ends_before(limit):
            yield say("Lift evenly: no carrier more than {mm} mm behind the others, so that all see each other.",
                      mm=Number(limit.value))
        elif math.isfinite(limit.value):
            yield say("Lift evenly: no carrier more than {mm} mm behind the others; {cause}.",
                      mm=Number(math.floor(limit.value)), cause=gives_way(limit.governs))


def _low_hub_of_now(stage: StageAnalysis, _alone: bool) -> Iterator[Limit]:
    if stage.lag.kind == LOW_HUB:
        yield stage.lag


def _free_ends(stage: StageAnalysis, step: Step) -> Iterable[Limit]:
    """Of struts that hang on one arm for a while as the step goes in."""
    return free_ends_of(stage, step).values()


def _free_ends_now(stage: StageAnalysis, _alone: bool) -> Iterable[Limit]:
    return stage.free_end_limits.values()


def _weakest(found: Limits) -> Limit:
    return min(found, key=lambda limit: limit.value)


def _hold_free_ends(_step: Step, found: Limits) -> Iterator[Said]:
    least = _weakest(found) if found else None
    if least is not None and is_untested(least):
        yield say("Hold the free ends: how hard they may be pushed is unknown, not tested.")
    elif least is not None and ends_before(least):
        yield say("Hold the free ends.")
    elif least is not None:
        yield say("Hold the free ends: no more than {force} sideways, {feels}; {cause}.", force=force(least.value),
                  feels=feels(least.value), cause=gives_way(least.governs))


def _free_end_note(step: Step, found: Limits) -> Iterator[Said]:
    if found and not step.cautions:
        least = _weakest(found)
        if is_untested(least):
            yield _end_untested(least.at)
        elif ends_before(least):
            yield say("A loose strut end bears more than a person pushes.")
        else:
            yield say("Push a loose strut end with at most {limit}, {feels}; {cause}.", limit=force(least.value),
                      feels=feels(least.value), cause=gives_way(least.governs))


def _free_end_at_place(limit: Limit) -> Iterator[Said]:
    if is_untested(limit):
        yield _end_untested(limit.at)
    elif ends_before(limit):
        yield say("Its free end bears more than a person pushes.")
    else:
        yield say("While its far end is loose, push that end with at most {limit}: {feels}; {cause}.",
                  limit=force(limit.value), feels=feels(limit.value), cause=gives_way(limit.governs))


def _loose_now(found: Limits, _lean_n: float) -> Iterator[Said]:
    """The most delicate first."""
    ends = sorted(found, key=lambda limit: (limit.value, limit.at))
    for limit in ends[:MOST_LOOSE]:
        if ends_before(limit) or is_untested(limit):
            yield say("{strut} hangs on one arm alone: hold its free end.", strut=limit.at)
        else:
            yield say("{strut} hangs on one arm alone: hold its free end; no push above {limit}, {feels}; {cause}.",
                      strut=limit.at, limit=force(limit.value), feels=feels(limit.value),
                      cause=gives_way(limit.governs))
    rest = [limit.at for limit in ends[MOST_LOOSE:]]
    if rest:
        yield say_n("So does {struts}: hold its free end.", "So do {struts}: hold their free ends.", len(rest),
                    struts=row(rest, most=6))


def _push_at_hub(stage: StageAnalysis, step: Step) -> Iterable[Limit]:
    return stage.push_limits([step.hub]).values()


def _pushes_now(stage: StageAnalysis, _alone: bool) -> Iterable[Limit]:
    return stage.push_limits(stage.fitted.last).values()


def _leans(step: Step, limit: Limit) -> bool:
    """Whether the push that the design reckons with is too much for the hub of a step."""
    return limit.value < step.lean_n


def _do_not_lean(step: Step, found: Limits) -> Iterator[Said]:
    for limit in found:
        if is_untested(limit):
            yield _push_untested(limit.at)
        elif _leans(step, limit):
            yield say("Do not lean on {hub}: no more than {force}, {feels}; {cause}.", hub=limit.at,
                      force=force(limit.value), feels=feels(limit.value), cause=gives_way(limit.governs))


def _push_note(step: Step, found: Limits) -> Iterator[Said]:
    for limit in found:
        if not (step.cautions and _leans(step, limit)):
            yield from _pushed(limit)


def _pushed(limit: Limit) -> Iterator[Said]:
    """How hard a hub may be pushed; nothing where nothing is known to give way: it is carried or held."""
    if is_untested(limit):
        yield _push_untested(limit.at)
    elif ends_before(limit):
        yield say("{hub} bears more than a person pushes.", hub=limit.at)
    elif math.isfinite(limit.value):
        yield say("Push {hub} sideways with at most {limit}, {feels}; {cause}.", hub=limit.at,
                  limit=force(limit.value), feels=feels(limit.value), cause=gives_way(limit.governs))


def _push_now(found: Limits, lean_n: float) -> Iterator[Said]:
    """Hubs placed last that would not bear a person leaning on them."""
    for limit in found:
        if is_untested(limit):
            yield _push_untested(limit.at)
        elif limit.value < lean_n:
            yield say("Do not lean on {hub}: no more than {force}, {feels}; {cause}.", hub=limit.at,
                      force=force(limit.value), feels=feels(limit.value), cause=gives_way(limit.governs))


def _lag_now(found: Limits, _lean_n: float) -> Iterator[Said]:
    for limit in found:
        if is_untested(limit) and limit.kind == LAG:
            yield LIFT_UNTESTED
        elif limit.value < LAG_BY_EYE_MM:
            yield ON_PROPS
        elif limit.value < math.inf and not ends_before(limit):
            yield say("No carrier more than {lag} mm lower than the others; {cause}.", lag=math.floor(limit.value),
                      cause=gives_way(limit.governs))


def _wind_now(stage: StageAnalysis, alone: bool) -> Iterator[Limit]:
    if alone and stage.wind is not None and not lies_flat(stage.case.frame, stage.fitted):
        yield stage.wind


def _wind_words(found: Limits, _lean_n: float) -> Iterator[Said]:
    """The gusts from which to act."""
    for limit in found:
        if is_untested(limit):
            yield say("Which gusts it bears is unknown: not tested. Stop at any gust.")
        if isinstance(limit, WindLimit):
            act = limit.at_work
            mean = limit.forecast_m_s / limit.speed_m_s if limit.speed_m_s > 0.0 else 0.0
            first, last = (beaufort(mean * gust_m_s) for gust_m_s in (act.first_m_s, act.last_m_s))
            yield say("Wind: stop adding from gusts of {first} m/s at the frame, clear it from {last} m/s; by the "
                      "forecast, which tells means of ten minutes, at Beaufort {first_bft} and {last_bft}; {cause}.",
                      first=speed(act.first_m_s), last=speed(act.last_m_s), first_bft=first,
                      last_bft=last, cause=gives_way(act.governs))


LIMITS: dict[str, LimitKind] = {kind.name: kind for kind in (
    LimitKind(name=LAG, unit="mm", beside="carry", of_step=_lag, of_now=_lag, caution=_lift_evenly,
              now=_lag_now),
    LimitKind(name=LOW_HUB, unit="mm", of_now=_low_hub_of_now),
    LimitKind(name=FREE_END, unit="N", beside="hold", of_step=_free_ends, of_now=_free_ends_now,
              caution=_hold_free_ends, note=_free_end_note, at_place=_free_end_at_place, now=_loose_now),
    LimitKind(name=PUSH, unit="N", column="push_limit_n", of_step=_push_at_hub, of_now=_pushes_now,
              caution=_do_not_lean, note=_push_note, at_place=_pushed, now=_push_now),
    LimitKind(name=WIND, unit="m/s", beside="wind", of_now=_wind_now, now=_wind_words),
)}
"""In the order in which they are said."""
