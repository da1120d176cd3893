"""What entries about stopping and wind do to the state."""

from dataclasses import replace

from fieldapp.base.said import Said, say
from fieldapp.log.alarm import Stop, StopSeen, WindRead
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry
from fieldapp.log.fields import NoData
from fieldapp.log.kinds_alarm import StopData, StopSeenData, WindReadData


def stopped(draft: Draft, entry: Entry, data: StopData) -> Said | None:
    """Nobody builds from now; who stopped it first counts."""
    if draft.stop is not None:
        return say("building was stopped already")
    draft.stop = Stop(entry.key, entry.named, entry.holder, entry.at, data.words)
    return None


def stop_seen(draft: Draft, entry: Entry, data: StopSeenData) -> Said | None:
    """The sender knows of this stop."""
    if draft.stop is None or draft.stop.key != data.stop:
        return say("that stop was over already")
    if entry.holder not in draft.stop.holders:
        draft.stop = replace(draft.stop, seen=(*draft.stop.seen, StopSeen(entry.named, entry.holder, entry.at)))
    return None


def stop_lifted(draft: Draft, entry: Entry, data: NoData) -> Said | None:
    """Building goes on."""
    if draft.stop is None:
        return say("nobody had stopped building")
    draft.stop = None
    return None


def wind_read(draft: Draft, entry: Entry, data: WindReadData) -> Said | None:
    """The last reading counts, until the next one or the end of the raise."""
    draft.wind_read = WindRead(entry.key, data.gust_m_s, entry.named, entry.at)
    return None
