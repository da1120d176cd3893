"""What entries about days and whereabouts do to the state."""

from fieldapp.base.said import Said, say
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.kinds_dates import MovedData, WantedData
from fieldapp.log.loans import LogAway
from fieldapp.log.wanted import Promise


def wanted(draft: Draft, entry: Entry, data: WantedData) -> Said | None:
    """The days are given, unless another laptop gave one of them before."""
    if any(one.meets(data.first, data.last) for one in draft.wanted):
        return say("one of these days was given to another place already")
    draft.wanted = (*draft.wanted, Promise(entry.key, data.where, data.first, data.last))
    return None


def moved(draft: Draft, entry: Entry, data: MovedData) -> Said | None:
    """There it is; with its own laptop the log here stands still, until it is home again."""
    draft.where = data.where
    if data.own_log:
        draft.log_away = LogAway(data.where, entry.at, entry.key)
    return None
