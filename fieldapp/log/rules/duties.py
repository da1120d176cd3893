"""Rules for what people take in hand: a step, or a hub to hold. It lapses by the clock of the decision."""

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Row
from fieldapp.log.duties import in_hand
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_step import DutyData
from fieldapp.log.rules.terms import Admitted, Asked


def duty_taken(asked: Asked, data: DutyData) -> Admitted | Refusal:
    """A step of the plan that is not done and that nobody else has; a hub that stands."""
    refusal = _no_step(asked, data) if data.what == "step" else _no_hold(asked, data)
    return refusal or Admitted(place=data.at, data=DutyData(what=data.what, at=data.at, team=data.team))


def duty_left(asked: Asked, data: DutyData) -> Admitted | Refusal:
    """One's own; the chief gives back for whoever forgot to."""
    holders = {duty.holder: duty.who for duty in asked.state.duties if (duty.what, duty.at) == (data.what, data.at)}
    if not holders:
        return refuse("nobody_has_it", "nobody has {place} in hand.", "Nothing more to do.", place=data.at)
    if asked.holder not in holders and not asked.request.chief:
        return refuse("not_yours", "{place} is not yours: {who} has it.", "Ask them, or the chief, to give it back.",
                      place=data.at, who=Row(tuple(holders.values())))
    return Admitted(place=data.at, data=data.model_copy(update={"everyone": asked.holder not in holders}))


def _no_step(asked: Asked, data: DutyData) -> Refusal | None:
    plan, place = asked.site.plan, data.at
    step = plan.step_for(place) if place in plan.step_of else None
    if step is None or step.places[0] != place:
        return refuse("no_step", "no step of this way of raising begins with {place}.",
                      "Take one that the start page offers.", place=place)
    striking = asked.state.phase == "striking"
    left = [name for name in step.places if asked.state.is_fitted(name) == striking]
    if not left:
        return refuse("step_done_already", "the step {place} is done already.", "Take the next one.", place=place)
    other = next((duty for duty in in_hand(asked.state, asked.now, "step")
                  if duty.at == place and duty.holder != asked.holder), None)
    if other is not None:
        return refuse("step_taken", "{who} has the step {place} in hand since {time}.", "Take another one.",
                      who=other.who, place=place, time=clock_words(other.since, asked.now))
    return None


def _no_hold(asked: Asked, data: DutyData) -> Refusal | None:
    if data.at not in asked.site.kit.frame.hub_index:
        return refuse("no_hub", "{place} is no hub of this frame.", "Choose the hub that you hold.", place=data.at)
    if not asked.state.is_fitted(data.at):
        return refuse("hub_not_in", "{place} is not in the frame, so nobody holds it.",
                      "Log it as fitted first, then take it in hand.", place=data.at)
    return None
