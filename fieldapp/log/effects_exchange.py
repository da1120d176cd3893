"""What entries about an exchange do to the state: it runs from its beginning until it is said to be over."""

from fieldapp.base.said import Said, say
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.kinds_exchange import ExchangeBegunData, ExchangeEndedData


def exchange_begun(draft: Draft, entry: Entry, data: ExchangeBegunData) -> Said | None:
    """What it takes is known to everybody from now on; one at a time."""
    if draft.exchanging is not None:
        return say("an exchange at {place} was running already", place=draft.exchanging.place)
    draft.exchanging = Exchanging(entry.key, str(entry.place), data.takes, data.holds, data.loosened, since=entry.at)
    return None


def exchange_ended(draft: Draft, entry: Entry, data: ExchangeEndedData) -> Said | None:
    """Nobody need hold for it any more."""
    if draft.exchanging is None:
        return say("no exchange was running")
    draft.exchanging = None
    return None
