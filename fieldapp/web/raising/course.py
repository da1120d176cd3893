"""The course of a raise, in the chief's hands: which way, start, strike, end; and the phone that is the chief's."""

import threading
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.clock import clock_words
from fieldapp.base.remembered import remembered
from fieldapp.base.said import Said
from fieldapp.kit.kit import Kit
from fieldapp.log.duties import in_hand
from fieldapp.log.entry import refuse
from fieldapp.log.rules import is_to_begin
from fieldapp.log.state import State
from fieldapp.reports.raising import progress
from fieldapp.reports.standing.strike import strike
from fieldapp.reports.verdict import Sign
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.fitness import against_now
from fieldapp.web.cards.status import Status
from fieldapp.web.common.beside import beside
from fieldapp.web.common.context import patience_s, site, state, tidy
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.rights import asker, grant, is_chief, is_phrase, rights, take_away
from fieldapp.web.common.writing import refused, wish, write_down
from fieldapp.wording.stick import behind_said, stick_said

CHOICE_PATIENCE_S = 30.0
"""How long the chief's choice waits for them."""

bp = Blueprint("course", __name__)
chief = Blueprint("chief", __name__)
KINDS_OF_ACT = {"start": "raise_started", "strike": "strike_started", "end": "raise_ended"}
"""The last part of the address → kind of entry."""
_one_phrase = threading.Lock()


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way, in the words of its report."""

    name: str
    verdict: Said
    people: int
    holds_at_most: int
    minutes: int
    breaks: bool
    recommended: bool
    may_be_followed: bool
    """False if it breaks arms and the design does not accept that."""
    tested: bool = True
    """False where nobody has tested what the parts bear."""

    @property
    def sign(self) -> Sign:
        """Of its verdict."""
        return "stop" if self.breaks else "now" if self.tested else "unknown"


def way_lines(patience_s: float) -> tuple[WayLine, ...] | None:
    """Every way of the kit of this request; None while they are being computed.

    Raises
    ------
    RaisebookError
        If the statics have no answer.
    """
    kit = site().kit
    return beside().answer("ways", kit.design, lambda: _judged(kit), patience_s=patience_s)


def way_line(name: str) -> WayLine | None:
    """One way, if it is known by now."""
    lines: tuple[WayLine, ...] = beside().known("ways", site().kit.design) or ()
    return next((line for line in lines if line.name == name), None)


@remembered(2, by=lambda kit: kit.design)
def _judged(kit: Kit) -> tuple[WayLine, ...]:
    from fieldapp.plan.compare import compare  # brings in scipy, which `serve` starts without

    found, accepting = compare(kit), kit.design.raising.accept_breaking
    return tuple(WayLine(
        report.way, report.verdict, report.effort.people, report.effort.holds_at_most,
        round(report.effort.time.total_min), report.judged.breaks, report.way == found.recommended,
        accepting or not report.judged.breaks, report.tested) for report in found.reports)


@bp.get("/raise")
def page() -> str:
    """How the raise stands, and the chief's next button."""
    now, running = site().clock(), state().running_raise
    against = _against(now) if is_chief() and running is None and site().book.site.unfit else ()
    return render_template("raising/course.html", here="chief", raise_name=running.name if running else "?",
                           may=chiefs_acts(state()), chief=is_chief(), plan=site().plan,
                           way=way_line(site().plan.way), strike=strike(site().book.site, state()),
                           today=f"{now:%Y-%m-%d}", against=against, soon=against is None, done=done(),
                           new=new_kit_words() if against and not is_to_begin(site().book.site, state()) else "",
                           stick=stick_line())


def new_kit_words() -> str:
    """Of a kit that was never up nor inspected: its parts go in all the same."""
    return _("The kit is new: its makers may try it before its raise is started. Nobody has said yet that it is fit.")


def _against(now: datetime) -> tuple[str, ...] | None:
    """What keeps the kit from being fit, in words; None while that is worked out."""
    found = against_now(site().book.site, state(), now, patience_s=patience_s())
    return None if found is None else tuple(in_words(one.words) for one in found)


@dataclass(frozen=True, slots=True)
class ChiefsActs:
    """What the chief may do with the raise now."""

    start: bool
    strike: bool
    end: bool


def chiefs_acts(now: State) -> ChiefsActs:
    """Start what does not run, strike what stands, end what is out of the frame."""
    running, stands = now.running_raise is not None, bool(now.fitted)
    return ChiefsActs(start=not running, strike=now.phase == "raising" and stands, end=running and not stands)


@bp.get("/raise/strike", endpoint="sure")
def sure() -> str:
    """Before the strike is started: what stands, who still has a step in hand, and the press itself."""
    now, clock = state(), site().clock()
    done_now = progress(site().plan, now)
    busy = [(duty.at, duty.who, clock_words(duty.since, clock)) for duty in in_hand(now, clock, "step")]
    return render_template("raising/sure.html", here="chief", chief=is_chief(), may=chiefs_acts(now), busy=busy,
                           fitted=done_now.fitted, needed=done_now.needed, whole=done_now.fitted == done_now.needed)


@bp.post("/raise/<act>")
def write(act: str) -> Response | tuple[str, int]:
    """Start the raise, start the strike, end the raise."""
    kind = KINDS_OF_ACT.get(act)
    if kind is None:
        abort(404)
    fields = {"name": 80, "by": 80, "reason": 2000} if kind == "raise_started" else {}
    data = {name: tidy(request.form.get(name, ""), most) for name, most in fields.items()}
    return write_down(wish(kind, data=data), url_for("course.page" if kind == "raise_ended" else "start.page"))


@bp.get("/ways")
def choose() -> str:
    """All ways with their verdicts; one of them is followed."""
    known, followed = way_lines(patience_s()), site().plan.way
    lines = [(line, is_chief() and line.may_be_followed and line.name != followed) for line in known or ()]
    return render_template("raising/ways.html", here="chief", soon=known is None, lines=lines, chief=is_chief(),
                           followed=followed)


@bp.post("/ways")
def follow() -> Response | tuple[str, int]:
    """Follow another way, as soon as all are judged; the rules refuse one that breaks arms."""
    name, back = tidy(request.form.get("way", ""), 80), url_for("course.page")
    asked = wish("way_chosen", data={"way": name})
    if asked.chief and way_lines(CHOICE_PATIENCE_S) is None:
        return refused(refuse("ways_unknown", "the ways are still being computed.", "Wait a little and choose again."),
                       back)
    return write_down(asked, back)


@chief.get("/chief", endpoint="page")
def chief_page() -> str:
    """What the chief can do, or the field for the pass phrase."""
    return _chief_page()


@chief.post("/chief/enter")
def enter() -> Response | tuple[str, int]:
    """Check the phrase; only phones that joined come here, and after several wrong ones they have to wait."""
    held, whose = rights(), asker()
    if not held.phrase_tries.begin(whose):
        return _chief_page(_("Too many wrong phrases. Wait a minute, then try again.")), 429
    if not _is_ours(request.form.get("phrase", ""), held.chief_phrase):
        return _chief_page(_("That is not the pass phrase. Whoever started the laptop knows it.")), 403
    held.phrase_tries.right(whose)
    return grant(make_response(redirect(url_for("chief.page"), 303)), "chief")


def _is_ours(given: str, known_hash: str) -> bool:
    """One check after the other: each takes 32 MB."""
    with _one_phrase:
        return is_phrase(given, known_hash)


@chief.post("/chief/leave")
def leave() -> Response:
    """This phone is the chief's no longer."""
    return take_away(make_response(redirect(url_for("start.page"), 303)), "chief")


def _chief_page(problem: str = "") -> str:
    return render_template("raising/chief.html", here="chief", problem=problem, chief=is_chief(),
                           phrase_set=bool(rights().chief_phrase), stick=stick_line())


def stick_line() -> Status | None:
    """How the stick beside the laptop stands, for the chief; None if there is none."""
    stick = site().stick
    if stick is None or not is_chief():
        return None
    found = stick.status()
    shape: Sign = "stop" if found.fault else "fitted" if found.begun else "waits"
    return Status(shape, in_words(stick_said(found)), " ".join(map(in_words, behind_said(found, site().clock()))))
