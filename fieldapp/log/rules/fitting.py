"""Rules for what sits where: fitted, taken down, given another place."""

from datetime import timedelta

from fieldapp.base.clock import in_this_age, utc_ms
from fieldapp.base.errors import PlanError
from fieldapp.base.said import Row, say
from fieldapp.kit.interchange import difference
from fieldapp.kit.kit import kind_said
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.fields import NoData
from fieldapp.log.kinds import FittedData, FittedWish, TakenDownWish
from fieldapp.log.rules.loans import elsewhere
from fieldapp.log.rules.terms import Admitted, Asked, not_dry, not_started, scrapped
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan


def fitted(asked: Asked, data: FittedWish) -> Admitted | Refusal:
    """A usable part into a free place of its class; out of order is allowed and said."""
    state, part = asked.state, asked.part
    refusal = (_already_fitted(asked) or _not_usable(asked) or not_started(asked)
               or _slipped(asked, sure=data.sure))
    if refusal:
        return refusal
    home = state.home_of(part.id)
    place = asked.request.place or home
    if place is None:
        return refuse("which_place", "{part} is a spare and is meant for no place yet.",
                      "Open the place it should go to and choose it there.", part=asked.called(part.id))
    refusal = _place_closed(asked, place) or _place_taken(asked, place) or _other_class(asked, place)
    if refusal:
        return refusal
    if place != home and not data.exchange:
        return _offer_exchange(asked, home, place)
    waits = _waits_for(asked.site.plan, state, place)
    return Admitted(part.id, place, FittedData(exchange=place != home, waits_for=waits))


def taken_down(asked: Asked, data: TakenDownWish) -> Admitted | Refusal:
    """Only what sits in the frame can be taken out of it."""
    place = asked.past.fitted_at
    if place is None:
        return refuse("not_fitted", "{part} is not fitted, so it cannot be taken down.",
                      "If it hangs in the frame, log it as fitted first.", part=asked.called(asked.part.id))
    return _slipped(asked, sure=data.sure) or Admitted(asked.part.id, place)


SLIP = timedelta(seconds=5)
"""Whoever reverses what was written down less than this ago is asked whether they mean it.

Source: our choice; a second tap where a finger still is comes sooner. Test: tests/log/test_steps.py."""
_MOVES = frozenset({"fitted", "taken_down", "step_done", "stored"})


def _slipped(asked: Asked, *, sure: bool) -> Refusal | None:
    """Asks, where the opposite was written down a moment ago; by the phones' clocks where both told the time."""
    entries = (asked.state.index.get(key) for key in reversed(asked.past.entries))
    last = next((entry for entry in entries if entry is not None and entry.kind in _MOVES), None)
    if sure or last is None:
        return None
    sent, before = asked.request.sent_at, last.sent_at
    since = utc_ms(sent) - before if sent and before and in_this_age(sent) else asked.now - last.at
    if not timedelta(0) <= since < SLIP:
        return None
    words = say("{part} was written down as fitted {n} s ago. Is it out again?") if asked.past.fitted_at else \
        say("{part} was written down as taken out {n} s ago. Is it in again?")
    return Refusal(say(words.template, part=asked.called(asked.part.id), n=int(since.total_seconds())),
                   say("If the finger slipped, go back: nothing was changed."), "too_soon")


def exchanged(asked: Asked, data: NoData) -> Admitted | Refusal:
    """A usable part of the same class is meant for a place that is free, or whose part is not to be used."""
    state, part, place = asked.state, asked.part, asked.request.place
    if place is None:
        return refuse("which_place", "exchanging {part} needs the place it is to go to.",
                      "Open that place and choose {part} there.", part=asked.called(part.id))
    refusal = _already_fitted(asked) or _not_usable(asked) or _place_closed(asked, place) or _other_class(asked, place)
    if refusal:
        return refusal
    if state.home_of(part.id) == place:
        return refuse("meant_already", "{part} is meant for place {place} already.", "Go on and fit it there.",
                      part=asked.called(part.id), place=place)
    sitting = state.fitted.get(place)
    if sitting is not None and state.parts[sitting].usable:
        return _place_taken(asked, place) or Admitted()
    there = state.parts.get(sitting or state.allocation.get(place, ""))
    told = () if there is None else (defect.entry for defect in there.defects)
    return Admitted(part.id, place, answers=asked.seen(told))


def _already_fitted(asked: Asked) -> Refusal | None:
    place = asked.past.fitted_at
    if place is None:
        return None
    name = asked.called(asked.part.id)
    said = asked.when_and_who(asked.past.fitted_by)
    why = say("{part} is already fitted ({said}).", part=name, said=said) if place == name else \
        say("{part} is already fitted at place {place} ({said}).", part=name, place=place, said=said)
    return Refusal(why, say("Scan again, or open place {place}.", place=place), "already_fitted")


def _not_usable(asked: Asked) -> Refusal | None:
    past, name = asked.past, asked.called(asked.part.id)
    if past.away is not None:
        return elsewhere(asked)
    if past.condition == "scrapped":
        return scrapped(asked)
    if past.condition == "quarantined":
        return refuse("quarantined", "{part} is quarantined and must not be fitted: {reasons}.",
                      "Take another part of class {part_class}, or ask the chief to release this one.",
                      part=name, reasons=Row(past.reasons, "; ") if past.reasons else say("no reason given"),
                      part_class=asked.part.part_class)
    return not_dry(asked, say("Take another part of class {part_class}, or wait.", part_class=asked.part.part_class))


def _place_closed(asked: Asked, place: str) -> Refusal | None:
    made_for_it = asked.site.kit.by_place.get(place)
    if made_for_it is None:
        return refuse("no_place", "there is no place {place} in this frame.",
                      "Hub places run from {first} to {last}, strut places from {first_s} to {last_s}.",
                      place=place[:40], **_place_ranges(asked))
    if made_for_it.kind != asked.part.kind:
        return refuse("other_kind", "{part} is a {kind}; place {place} takes a {other}.",
                      "Scan the {other} for it.", part=asked.called(asked.part.id),
                      kind=kind_said(asked.part.kind), place=place, other=kind_said(made_for_it.kind))
    if place in asked.site.plan.left_out:
        return refuse("left_out", "place {place} stays empty in this way of raising.",
                      "Put {part} back to the stores.", place=place, part=asked.called(asked.part.id))
    return None


def _place_ranges(asked: Asked) -> dict[str, str]:
    frame = asked.site.kit.frame
    return {"first": frame.hubs[0].name, "last": frame.hubs[-1].name,
            "first_s": frame.struts[0].name, "last_s": frame.struts[-1].name}


def _place_taken(asked: Asked, place: str) -> Refusal | None:
    sitting = asked.state.fitted.get(place)
    if sitting is None:
        return None
    said = asked.when_and_who(asked.state.parts[sitting].fitted_by)
    return refuse("place_taken", "place {place} already holds {sitting} ({said}).",
                  "Check the number on the place; if {sitting} is not there, withdraw that entry first.",
                  place=place, sitting=asked.called(sitting), said=said)


def _other_class(asked: Asked, place: str) -> Refusal | None:
    part, needed = asked.part, asked.site.kit.by_place[place].part_class
    if needed == part.part_class:
        return None
    said = difference(asked.site.kit, part, place) or say("class {name}", name=part.part_class)
    return refuse("other_class", "{part} does not fit place {place}: {difference}.",
                  "Place {place} takes a {kind} of class {needed}.", part=asked.called(part.id), place=place,
                  difference=said, kind=kind_said(part.kind), needed=needed)


def _offer_exchange(asked: Asked, home: str | None, place: str) -> Refusal:
    name, meant = asked.called(asked.part.id), asked.state.allocation.get(place)
    if home is None:
        return refuse("exchange_offered", "{part} is a spare of class {part_class}; it fits place {place} "
                      "instead of {meant}.", "Fit it here, or bring {meant}.", part=name,
                      part_class=asked.part.part_class, place=place,
                      meant=asked.called(meant) if meant else say("no part"))
    return refuse("exchange_offered", "{part} is meant for place {home}; it fits place {place} as well "
                  "(same class {part_class}).",
                  "Fit it here and exchange the two, or bring it to its own place.", part=name, home=home, place=place,
                  part_class=asked.part.part_class)


def _waits_for(plan: Plan, state: State, place: str) -> tuple[str, ...]:
    try:
        return plan.lacks(place, state.is_fitted)
    except PlanError:
        return ()
