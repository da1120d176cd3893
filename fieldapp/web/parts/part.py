"""The page of one part: what a scanned label opens."""

from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, Response, make_response, render_template, request

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.raising.pairing import Pairing, pairing
from fieldapp.reports.verdict import Pair, verdict_of
from fieldapp.web.cards.ahead import before_lines
from fieldapp.web.cards.entries import done, reader
from fieldapp.web.cards.holding import asking
from fieldapp.web.cards.part_view import part_view
from fieldapp.web.cards.scans import remember_read
from fieldapp.web.cards.step_view import step_link
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.lookup import find_part
from fieldapp.wording.seat import pairing_words
from fieldapp.wording.verdict import pair_waits

bp = Blueprint("part", __name__)

SCAN_COOKIE = "raisebook_scans"
IN_A_ROW_S = 180
"""Two scans further apart than this are two errands."""
MAX_AGE_S = 3600
MOST_OFFERED = 2


@bp.get("/P/<text>", endpoint="scanned")       # on labels: its capitals tell that the part was scanned
@bp.get("/p/<text>", endpoint="page")
def page(text: str) -> Response:
    """Where the part goes; `text` is an ID as printed or typed, with `.1` or `.2` for a strut's end."""
    found, here = find_part(text), site()
    scans = scans_with(found.part.id, here.clock())
    view = part_view(standing(), found.part, end=found.end, reader=reader())
    place = view.place.name if view.place else None
    kept_out = view.status.shape == "stop" and state().phase != "striking"
    words = render_template(
        "parts/part.html", view=view, remark=found.remark, done=done(), here="part", place=place or "",
        pair=None if done() else pair_view(here.book.site, state(), found.part.id, scans.pair),
        before=before_lines(here.book.site, state(), view.place, kept_out=kept_out),
        step=step_link(here.plan, state(), place, asking()))
    answer = remember_scans(make_response(words), scans)
    return remember_read(answer, request.cookies, found.part.id, here.clock()) if request.endpoint == "part.scanned" \
        else answer


@dataclass(frozen=True, slots=True)
class Scans:
    """The last two parts on this phone, the newest first, with when they were opened [s since 1970]."""

    this: str = ""
    this_s: int = 0
    before: str = ""
    before_s: int = 0

    def then(self, part: str, now_s: int) -> "Scans":
        """With one more part opened; opening the same one again changes nothing."""
        return self if part == self.this else Scans(part, now_s, self.this, self.this_s)

    @property
    def pair(self) -> str | None:
        """The part scanned just before this one, if it was just before."""
        return self.before if self.before and 0 <= self.this_s - self.before_s <= IN_A_ROW_S else None


def read_scans(cookie: str) -> Scans:
    """What the cookie says; nothing if it is not one of ours.

    Examples
    --------
    >>> read_scans("OH-S073-C 1200 OH-H22-T 1180").pair
    'OH-H22-T'
    >>> read_scans("nonsense").pair is None
    True
    """
    pieces = cookie[:120].split(" ")
    if len(pieces) != 4 or not (pieces[1].isdecimal() and pieces[3].isdecimal()):
        return Scans()
    return Scans(pieces[0], int(pieces[1][:12]), pieces[2], int(pieces[3][:12]))


def scans_with(part: str, now: datetime) -> Scans:
    """The scans of the phone that asks, with this part as the newest."""
    return read_scans(request.cookies.get(SCAN_COOKIE, "")).then(part, round(now.timestamp()))


def remember_scans(answer: Response, scans: Scans) -> Response:
    """Keep them in this phone for an hour."""
    value = f"{scans.this} {scans.this_s} {scans.before or '-'} {scans.before_s}"
    answer.set_cookie(SCAN_COOKIE, value, max_age=MAX_AGE_S, httponly=True, samesite="Lax")
    return answer


@dataclass(frozen=True, slots=True)
class PairView:
    """The answer to "does this strut go into this hub?"."""

    before: str
    """ID of the part scanned just before."""
    fits: bool
    answer: str
    more: tuple[str, ...]
    """Why, and where each of the two goes."""
    strut: str
    offers: tuple[str, ...]
    """Strut places at this hub where the strut fits if two places are exchanged."""


def pair_view(site: Setting, state: State, this: str, before: str | None) -> PairView | None:
    """None unless one is a hub and the other a strut of this kit, to be fitted still or fitted at this hub."""
    kit = site.kit
    if before is None or before not in state.parts or state.phase == "striking":
        return None
    kinds = {state.part(part).kind: part for part in (this, before)}
    if len(kinds) != 2:
        return None
    found = pairing(kit, state, strut=kinds["strut"], hub=kinds["hub"])
    if not found.fits and state.parts[found.strut].fitted_at:
        return None      # that strut is done with: the next scan is another errand
    verdict = verdict_of(site, state, Pair(found.strut, found.hub))
    if verdict.act == "out":
        return None      # of an exchange: they come apart
    waits = pair_waits(verdict, kit.design.ground) if found.fits else ()
    words = waits or pairing_words(found, kit.design.hub.held_by.assembly)
    return PairView(before, found.fits and not waits, words[0], words[1:], found.strut, _offers(state, found))


def _offers(state: State, found: Pairing) -> tuple[str, ...]:
    past = state.parts[found.strut]
    if past.fitted_at or not past.usable:
        return ()
    return tuple(seat.strut_place for seat in found.could_go[:MOST_OFFERED])
