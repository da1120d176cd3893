"""Wind in two lines, in words: with feet loose, and held as planned; which of them counts now."""

from collections.abc import Iterator
from dataclasses import dataclass

from fieldapp.base.said import Value, in_words, say
from fieldapp.base.words import _, marked
from fieldapp.plan.words import speed
from fieldapp.reports.standing.winds import TwoWinds
from fieldapp.statics.causes import gives_way
from fieldapp.statics.wind import WindLimit

FAST_ENOUGH_M_S = 50.0
"""Nobody raises a frame in such a wind; a higher limit is not worth a line [m/s].
Source: our choice. Test: tests/wording/test_winds.py"""

NO_WIND_M_S = 1.0
"""A foot that lifts below this wants its peg before any wind [m/s]. Source: our choice.
Test: tests/wording/test_winds.py
"""


TOLD_FROM_M_S = 0.1
"""A lower gust is told as 0.0, which nobody can act at [m/s]. Source: our choice, the last digit that is told.
Test: tests/wording/test_winds.py
"""


@dataclass(frozen=True, slots=True)
class GustMoment:
    """What the wind finds."""

    wind: WindLimit | None
    """None while it is held or carried."""
    striking: bool = False
    working: bool = True
    """False once every place is filled, until the strike: nobody is on a ladder."""
    loose: bool = False
    """True if a foot is not held."""
    tested: bool = True
    """False where nobody has tested what the parts bear."""


def gust_line(now: GustMoment) -> str:
    """The lowest gust and what to do at it, rounded down; short, since it stays on every page."""
    wind = now.wind
    if not now.tested:
        return _("Strength not tested: stop at any gust.")
    if wind is None:
        return _("Held or carried: stop at any gust.")
    if wind.speed_m_s >= FAST_ENOUGH_M_S and not now.working:
        return ""
    if now.loose and wind.lift_off_m_s < NO_WIND_M_S:
        return _("Peg or weigh down the feet before any wind.")
    act = wind.at_work
    lift = now.loose and wind.lift_off_m_s < act.first_m_s
    first = speed(wind.lift_off_m_s if lift else act.first_m_s)
    last_m_s = act.last_m_s if now.working else wind.act_last_m_s
    if last_m_s < TOLD_FROM_M_S:
        return _("At any gust: get clear.")
    words = _("Gusts: {first} m/s nobody goes up, {last} m/s everybody out.") if not now.working else \
        _("Gusts: {first} m/s stop, {last} m/s get clear.") if now.striking else \
        _("Gusts: {first} m/s add nothing, {last} m/s get clear.")
    return words.format(first=in_words(first), last=in_words(speed(last_m_s)))


_LOOSE = marked("Once it stands, feet loose: everybody out at gusts of {last} m/s; {cause}.")
_HELD = marked("Once it stands, feet held as planned: everybody out at gusts of {last} m/s; {cause}.")


def two_wind_lines(found: TwoWinds, *, working: bool) -> tuple[str, ...]:
    """Both lines, and which one counts by what is logged; `working`: people on ladders come down before."""
    lines = tuple(_both(found, working=working))
    if found.held is None or not lines:
        return lines
    which = say("All that is planned at the feet is logged: the line for held feet counts.") if found.is_held else \
        say("Not all that is planned at the feet is logged: the line for loose feet counts.")
    return (*lines, in_words(which))


def finished_wind_lines(found: TwoWinds) -> tuple[str, ...]:
    """Both lines for paper: nobody works on the frame any more, people are in it."""
    return tuple(in_words(say(template, last=speed(limit.act_last_m_s), cause=gives_way(limit.governs)))
                 for template, limit in ((_LOOSE, found.loose), (_HELD, found.held))
                 if limit is not None and limit.speed_m_s < FAST_ENOUGH_M_S)


def _both(found: TwoWinds, *, working: bool) -> Iterator[str]:
    """Both, rounded down."""
    loose, held = found.loose, found.held
    if loose is not None and loose.speed_m_s < FAST_ENOUGH_M_S:
        yield in_words(say("Wind, feet loose: leave the frame at gusts of {last} m/s; {cause}.",
                           **_leaving(loose, working=working)))
    if held is not None and held.speed_m_s < FAST_ENOUGH_M_S:
        yield in_words(say("Wind, feet held as planned: leave the frame at gusts of {last} m/s; {cause}.",
                           **_leaving(held, working=working)))


def _leaving(wind: WindLimit, *, working: bool) -> dict[str, Value]:
    act = wind.at_work
    last_m_s, governs = (act.last_m_s, act.governs) if working else (wind.act_last_m_s, wind.governs)
    return {"last": speed(last_m_s), "cause": gives_way(governs)}


def at_rest_lines(wind: WindLimit) -> tuple[str, ...]:
    """What to do at gusts while the frame stands whole and nobody works at it."""
    return (in_words(say("Wind: nobody goes up from gusts of {first} m/s, everybody out from {last} m/s; {cause}.",
                         first=speed(wind.at_work.first_m_s), last=speed(wind.act_last_m_s),
                         cause=gives_way(wind.governs))),)
