"""The chief's board over all kits: who builds what where, stops, gusts, damage, days given, parts on their way."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, render_template

from fieldapp.base.clock import clock_words
from fieldapp.log.duties import in_hand, lapsed
from fieldapp.log.state import State
from fieldapp.reports.pool.moves import moves
from fieldapp.reports.pool.record import Transfer
from fieldapp.web.cards.gust import gust_words
from fieldapp.web.common.context import clock_now
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.dates.dates import WantedLine, wanted_lines
from fieldapp.web.yard import pooling
from fieldapp.web.yard.front import course_words, in_turn
from fieldapp.web.yard.kits import YardKit, yard
from fieldapp.wording.alarm import last_reading, stop_head

bp = Blueprint("overview", __name__)
MOST_DAMAGED = 8
"""Parts of each kit that are named."""


@dataclass(frozen=True, slots=True)
class KitBoard:
    """One kit on the board."""

    name: str
    title: str
    course: str
    where: str
    stopped: str
    gust: str
    """The gust to act at, while anything stands; and the last one read."""
    hands: tuple[str, ...]
    """Who has which step or hub in hand."""
    damage: tuple[str, ...]
    wanted: tuple[WantedLine, ...]
    parts: tuple[str, ...]
    """Of it and at it: lent, borrowed, asked."""
    heard: str
    """The last entry."""


@bp.get("/overview")
def page() -> str:
    """All kits: what is stopped first, then what is up, then what is wanted soonest."""
    now = clock_now()
    found = moves(pooling.plain_kits())
    return render_template("yard/overview.html", boards=tuple(_board(kit, found, now) for kit in in_turn(now)),
                           newest=yard().last_number, overview=True)


def _board(kit: YardKit, found: tuple[Transfer, ...], now: datetime) -> KitBoard:
    state = kit.book.state
    return KitBoard(
        kit.name, kit.title, course_words(kit, state), state.where,
        in_words(stop_head(state.stop, now)) if state.stop else "", " ".join(_gust(kit, state, now)),
        tuple(_hands(state, now)), tuple(_damage(state)), wanted_lines(state.wanted, now.date()),
        tuple(in_words(one.words) for one in found if kit.prefix in (one.lender, one.borrower)), _heard(state, now))


def _gust(kit: YardKit, state: State, now: datetime) -> Iterator[str]:
    if state.fitted:
        yield gust_words(kit.book.site, state)
        yield in_words(last_reading(state.wind_read, now)) if state.wind_read else _("No gust was read.")


def _hands(state: State, now: datetime) -> Iterator[str]:
    """Steps and holds in hand; then those that nobody took anew in time."""
    for what, words in (("step", _("Step {place}: {who}, since {time}")), ("hold", _("{place} held by {who}, since "
                                                                                      "{time}"))):
        for duty in in_hand(state, now, what):
            yield words.format(place=duty.at, who=in_words(duty.who), time=clock_words(duty.since, now))
    for duty in lapsed(state, now, "hold"):
        yield _("{place} was held by {who}; nobody has said so since {time}").format(
            place=duty.at, who=in_words(duty.who), time=clock_words(duty.renewed, now))


def _damage(state: State) -> Iterator[str]:
    """Parts that may not be used as they are, those in the frame first."""
    bad = sorted((part for part, past in state.parts.items() if past.away is None and past.condition != "scrapped"
                  and (past.missing or past.condition == "quarantined")),
                 key=lambda part: (state.parts[part].fitted_at is None, part))
    for part in bad[:MOST_DAMAGED]:
        past = state.parts[part]
        why = _("missing") if past.missing else ", ".join(map(in_words, past.reasons))
        yield _("{part} at {place}: {why}").format(part=part, place=past.fitted_at, why=why) if past.fitted_at else \
            f"{part}: {why}"
    if len(bad) > MOST_DAMAGED:
        more = len(bad) - MOST_DAMAGED
        yield ngettext("and {n} more", "and {n} more", more).format(n=more)


def _heard(state: State, now: datetime) -> str:
    if not state.entries:
        return _("Nothing was written down yet.")
    last = state.entries[-1]
    return _("Last entry: {time}, {who}").format(time=clock_words(last.at, now), who=in_words(last.named))
