"""The chief's board, for a laptop or a projector: what stands, who does and holds what, what is broken, wind, pace."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from flask import Blueprint, render_template

from fieldapp.base.clock import clock_words
from fieldapp.base.errors import RaisebookError
from fieldapp.base.said import Value
from fieldapp.log.duties import in_hand, lapsed
from fieldapp.log.state import State
from fieldapp.reports.raising.pace import pace
from fieldapp.reports.standing.winds import somebody_works, two_winds
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.rights import is_chief, may_write, rights
from fieldapp.web.raising.stage_now import StageNow, stage_now
from fieldapp.web.raising.start import StartView, pace_words, start_view
from fieldapp.wording.alarm import last_reading
from fieldapp.wording.winds import two_wind_lines

bp = Blueprint("board", __name__)
LATELY = timedelta(hours=3)
"""Phones that asked nothing for longer are not on the site any more. Our choice."""
MOST_DAMAGED = 12


@dataclass(frozen=True, slots=True)
class DutyLine:
    """One thing that somebody has in hand."""

    place: str
    who: str
    since: str
    lapsed: bool
    """True if they did not say so again in time: nobody knows whether they still have it."""
    team: int = 0
    """0 if they did not say."""


@dataclass(frozen=True, slots=True)
class PhoneHeard:
    """One phone, while building is stopped."""

    name: str
    when: str
    """When it confirmed, or when it was last heard."""


@dataclass(frozen=True, slots=True)
class Confirming:
    """Who has said that they know, and who has not."""

    yes: tuple[PhoneHeard, ...] = ()
    no: tuple[PhoneHeard, ...] = ()
    """Phones that were heard lately, and said nothing."""


@dataclass(frozen=True, slots=True)
class DamageLine:
    """One part that may not be used."""

    part: str
    place: str
    """Empty for one that is out of the frame."""
    words: str


@dataclass(frozen=True, slots=True)
class Board:
    """All of it."""

    view: StartView
    stage: StageNow | None
    """None where the statics have no answer: then `trouble` says why."""
    trouble: str = ""
    steps: tuple[DutyLine, ...] = ()
    holds: tuple[DutyLine, ...] = ()
    unheld: tuple[str, ...] = ()
    """Hubs that must be held, and that nobody is known to hold."""
    damage: tuple[DamageLine, ...] = ()
    winds: tuple[str, ...] = ()
    read: str = ""
    pace: str = ""
    confirming: Confirming = field(default_factory=Confirming)

    @property
    def holds_now(self) -> tuple[str, ...]:
        """Hubs that must be held, for the picture."""
        return self.stage.holds if self.stage else ()

    @property
    def heads(self) -> tuple[str, ...]:
        """What hands must do at once."""
        return self.stage.heads if self.stage else ()


@bp.get("/board")
def page() -> str:
    """Everything at a glance; the chief's presses, where the chief looks."""
    board = board_now()
    return render_template("board/board.html", here="board", board=board, view=board.view, done=done(),
                           lists_phones=may_write(), chief=is_chief())


def board_now() -> Board:
    """For this request."""
    here, now, clock = site(), state(), site().clock()
    view = start_view(standing(), here.book.site)
    stage: StageNow | None = None
    winds: tuple[str, ...] = ()
    trouble = ""
    try:
        stage = stage_now(here.book.site, now)
        winds = (*stage.wind, *two_wind_lines(
            two_winds(here.book.site, now), working=somebody_works(here.book.site, now))) if now.fitted else ()
    except RaisebookError as error:
        trouble = str(error.message)
    holds = _duties(now, clock, "hold")
    known = {line.place for line in holds if not line.lapsed}
    going_up = view.phase in ("before", "up")
    return Board(
        view, stage, trouble, steps=_duties(now, clock, "step"), holds=holds,
        unheld=tuple(hub for hub in stage.holds if hub not in known) if stage else (), damage=tuple(_damage(now)),
        winds=winds, read=in_words(last_reading(now.wind_read, clock)) if now.wind_read else "",
        pace=pace_words(pace(here.kit, here.plan, now, clock), clock) if going_up else "",
        confirming=_confirming(now, clock))


def _duties(now: State, clock: datetime, what: str) -> tuple[DutyLine, ...]:
    """Those in hand first, then those that lapsed."""
    return tuple(DutyLine(duty.at, in_words(duty.who), clock_words(duty.since, clock), gone, duty.team)
                 for gone, duties in ((False, in_hand(now, clock, what)), (True, lapsed(now, clock, what)))
                 for duty in duties)


def _damage(now: State) -> Iterator[DamageLine]:
    """Parts with open defects that keep them out of use, those in the frame first."""
    bad = [part for part, past in now.parts.items() if past.condition == "quarantined"]
    for part in sorted(bad, key=lambda part: (now.parts[part].fitted_at is None, part))[:MOST_DAMAGED]:
        past = now.parts[part]
        yield DamageLine(part, past.fitted_at or "", ", ".join(in_words(reason) for reason in past.reasons))


def _confirming(now: State, clock: datetime) -> Confirming:
    """By the log, and by the phones that were heard lately; nothing while building goes on."""
    stop = now.stop
    if stop is None:
        return Confirming()
    yes = (PhoneHeard(in_words(stop.who), clock_words(stop.since, clock)),
           *(PhoneHeard(in_words(each.who), clock_words(each.at, clock)) for each in stop.seen))
    return Confirming(yes, tuple(_silent(stop.holders, clock)))


def _silent(knows: frozenset[str], clock: datetime) -> Iterator[PhoneHeard]:
    listed: set[str] = set()
    for session, seen in rights().sessions.current(clock):
        phone = session.phone or session.number
        if phone in listed or phone in knows or seen is None or clock - seen.at > LATELY:
            continue
        listed.add(phone)
        name: Value = seen.who or session.phone or _("a phone that keeps no cookies")
        yield PhoneHeard(in_words(name), clock_words(seen.at, clock))

