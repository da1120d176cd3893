"""Rules for an exchange in the standing frame: begun with what it takes, over once all of it is back."""

from fieldapp.base.said import row
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_exchange import ExchangeBegunData, ExchangeEndedData
from fieldapp.log.rules.terms import Admitted, Asked


def exchange_begun(asked: Asked, data: ExchangeBegunData) -> Admitted | Refusal:
    """One at a time, while the frame goes up or stands, of what sits in it."""
    place, running = asked.request.place, asked.state.exchanging
    if place is None or place not in asked.site.kit.by_place:
        return refuse("which_place", "an exchange needs the place whose part is broken.", "Open that place first.")
    if running is not None:
        return refuse("exchange_running", "an exchange at {place} is running.", "Finish it first: one at a time.",
                      place=running.place)
    if asked.state.phase == "striking":
        return refuse("striking_now", "the frame is coming down: nothing is exchanged in it.",
                      "Take {place} out when its turn comes.", place=place)
    empty = [name for name in data.takes if not asked.state.is_fitted(name)]
    if empty:
        return refuse("not_in", "not in the frame: {places}.", "Open {place} again: it has changed.",
                      places=row(empty, most=6), place=place)
    return Admitted(place=place, data=data)


def exchange_ended(asked: Asked, data: ExchangeEndedData) -> Admitted | Refusal:
    """Once all is in again; before that only the chief may give it up, and says why."""
    running = asked.state.exchanging
    if running is None:
        return refuse("no_exchange", "no exchange is running.", "Nothing more to do.")
    out = still_open(asked, running.takes)
    if out and not (asked.request.chief and data.reason):
        return refuse("exchange_open", "still out, or not fit: {places}. Let go of nothing.",
                      "Put them in first, or the chief gives it up and says why.", places=row(out, most=6))
    return Admitted(place=running.place, data=data)


def still_open(asked: Asked, takes: tuple[str, ...]) -> tuple[str, ...]:
    """Places of it that are empty, or hold a part that may not be used."""
    state = asked.state
    return tuple(place for place in takes if not state.is_fitted(place)
                 or not state.parts[state.fitted[place]].usable)
