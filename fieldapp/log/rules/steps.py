"""The rule for a whole step at one press: each part by the rule for it alone, all of them or none."""

from collections.abc import Iterable
from dataclasses import replace

from fieldapp.base.errors import PlanError
from fieldapp.base.said import Row, row, say
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import FittedWish, TakenDownWish
from fieldapp.log.kinds_step import StepData, StepWish
from fieldapp.log.rules import fitting
from fieldapp.log.rules.terms import Admitted, Asked


def step_done(asked: Asked, data: StepWish) -> Admitted | Refusal:
    """What is still to be done of it; named parts must be those that the log means, so that no page errs."""
    refusal = _twice(data) or _other_parts(asked, data)
    if refusal:
        return refusal
    pairs = tuple((place, part) for place, part in _pairs(asked, data) if not _is_so(asked, data, place, part=part))
    if not pairs:
        return _nothing_left(asked, data)
    for place, part in pairs:
        refusal = _alone(asked, data, place, part=part)
        if refusal:
            return _none_of_it(refusal)
    places, parts = tuple(place for place, _part in pairs), tuple(part for _place, part in pairs)
    waits = _waits(asked, places) if data.act == "fitted" else ()
    return Admitted(place=_first(asked, places[0]), data=StepData(
        places=places, act=data.act, parts=parts, waits_for=waits,
        scanned=tuple(part for part in dict.fromkeys(data.scanned) if part in parts)))


def _pairs(asked: Asked, data: StepData) -> tuple[tuple[str, str], ...]:
    """(place, part): what the page named, else what sits there or is meant for it; "" where nothing is."""
    meant = asked.state.fitted if data.act == "taken_down" else asked.state.allocation
    parts = data.parts or tuple(asked.state.fitted.get(place) or meant.get(place, "") for place in data.places)
    return tuple(zip(data.places, parts, strict=True))


def _is_so(asked: Asked, data: StepData, place: str, *, part: str) -> bool:
    """Written down already, by whomever."""
    if data.act == "taken_down":
        return place not in asked.state.fitted
    return asked.state.fitted.get(place) == part


def _alone(asked: Asked, data: StepWish, place: str, *, part: str) -> Refusal | None:
    """Why the rule for one part refuses it; None if it does not."""
    if part not in asked.state.parts:
        return refuse("no_part", "no part is meant for place {place}.", "Open {place} and choose one.", place=place)
    alone = replace(asked, request=replace(asked.request, kind=data.act, part=part, place=place))
    if data.act == "taken_down":
        outcome = fitting.taken_down(alone, TakenDownWish(sure=data.sure))
    else:
        outcome = fitting.fitted(alone, FittedWish(sure=data.sure))
    return outcome if isinstance(outcome, Refusal) else None


def _none_of_it(refusal: Refusal) -> Refusal:
    return Refusal(Row((refusal.why, say("Nothing of this step was written down.")), " "), refusal.then,
                   "step_" + refusal.code if refusal.code != "too_soon" else refusal.code)


def _twice(data: StepData) -> Refusal | None:
    """Named more than once, or not a part for each place."""
    if len(set(data.places)) < len(data.places) or (data.parts and len(data.parts) != len(data.places)):
        return refuse("bad_step", "a step names each place once, with one part for each.",
                      "Load the page again and repeat.")
    return None


def _other_parts(asked: Asked, data: StepData) -> Refusal | None:
    """The page named a part that is not the one meant now: somebody exchanged it meanwhile."""
    if not data.parts:
        return None
    now = tuple(part for _place, part in _pairs(asked, data.model_copy(update={"parts": ()})))
    wrong = [(place, told, meant) for place, told, meant in zip(data.places, data.parts, now, strict=True)
             if told != meant and not (data.act == "taken_down" and place not in asked.state.fitted)]
    if not wrong:
        return None
    place, told, meant = wrong[0]
    return refuse("other_part", "{told} is not the part for place {place} any more: it is {meant} now.",
                  "Load the page again, and look which part is there.", told=asked.called(told[:40]), place=place,
                  meant=asked.called(meant) if meant else say("no part"))


def _nothing_left(asked: Asked, data: StepData) -> Refusal:
    if data.act == "taken_down":
        return refuse("not_fitted", "{places} are out of the frame already.", "Nothing more to do.",
                      places=row(data.places, most=6))
    said = asked.when_and_who(asked.state.parts[asked.state.fitted[data.places[0]]].fitted_by)
    return refuse("already_fitted", "all of this step is in already: {places} ({said}).", "Take the next step.",
                  places=row(data.places, most=6), said=said)


def _waits(asked: Asked, places: Iterable[str]) -> tuple[str, ...]:
    """What should have been in before, apart from what goes in with the same press."""
    inside = {*asked.state.fitted, *places}
    found: dict[str, None] = {}
    for place in places:
        try:
            found.update(dict.fromkeys(asked.site.plan.lacks(place, inside.__contains__)))
        except PlanError:
            continue
    return tuple(found)


def _first(asked: Asked, place: str) -> str:
    """First place of its step, which the step is known by."""
    plan = asked.site.plan
    return plan.step_for(place).places[0] if place in plan.step_of else place
