"""What everybody must hear at once, in words: building is stopped, or the wind is too much."""

from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Number, Said, say
from fieldapp.base.words import marked
from fieldapp.log.alarm import Stop, WindRead
from fieldapp.log.state import Phase
from fieldapp.plan.words import speed
from fieldapp.reports.standing.alarm import WindAlarm

SHOUT = marked("Shout or whistle too: not every phone is awake.")
"""The first line wherever building is stopped."""


def stop_head(stop: Stop, now: datetime) -> Said:
    """Who stopped it, since when, why."""
    time = clock_words(stop.since, now)
    if stop.words:
        return say("Building is stopped since {time} ({who}): {words}", time=time, who=stop.who, words=stop.words)
    return say("Building is stopped since {time} ({who}).", time=time, who=stop.who)


def stop_lines(phase: Phase) -> tuple[Said, ...]:
    """What everybody does meanwhile."""
    if phase == "striking":
        return (say("Take nothing out and put nothing in. Keep holding what you hold, until you are relieved."),
                say("Only the chief lets it go on."))
    return (say("Put nothing more in and take nothing out. Keep holding what you hold, until you are relieved."),
            say("Only the chief lets it go on."))


def wind_head(found: WindAlarm, phase: Phase, now: datetime) -> Said:
    """The gust, and what to do at it."""
    gust, time = Number(found.read.gust_m_s, 1), clock_words(found.read.at, now)
    if found.act == "clear":
        return say("Gust of {gust} m/s ({time}): everybody away from the frame, now. Its limit is {limit} m/s.",
                   gust=gust, time=time, limit=speed(found.from_m_s))
    if phase == "striking":
        return say("Gust of {gust} m/s ({time}): take nothing more out. That counts from {limit} m/s on.", gust=gust,
                   time=time, limit=speed(found.from_m_s))
    return say("Gust of {gust} m/s ({time}): put nothing more on. That counts from {limit} m/s on.", gust=gust,
               time=time, limit=speed(found.from_m_s))


def wind_after() -> Said:
    """How it ends."""
    return say("It counts until a lower gust is read and written down.")


def last_reading(read: WindRead, now: datetime) -> Said:
    """The gust that was read last, by whom, when."""
    return say("Last gust read: {gust} m/s, {time}, {who}.", gust=Number(read.gust_m_s, 1),
               time=clock_words(read.at, now), who=read.who)
