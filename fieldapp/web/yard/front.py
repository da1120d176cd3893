"""The front page of a yard: which kit is where and wanted when, fit or not, what is missing, what to do first."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from flask import Blueprint, Response, jsonify, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.base.clock import clock_words
from fieldapp.base.errors import RaisebookError
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.state import State
from fieldapp.log.wanted import to_come
from fieldapp.reports.pool.lenders import needs
from fieldapp.reports.pool.record import PoolKit
from fieldapp.reports.raising import progress
from fieldapp.web.cards.fitness import ReadyNow, ready_now
from fieldapp.web.common.context import clock_now
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.rights import is_chief, may_write
from fieldapp.web.dates.dates import WantedLine, wanted_lines
from fieldapp.web.readiness.view import headline, reason_lines
from fieldapp.web.yard.kits import YardKit, yard
from fieldapp.wording.alarm import stop_head

bp = Blueprint("yard", __name__)

FAR_OFF = date.max
MOST_WANTED = 2
"""Promises of each kit on the front page."""


@dataclass(frozen=True, slots=True)
class KitLine:
    """One kit on the front page."""

    name: str
    title: str
    prefix: str
    course: str
    """In the stores, going up, standing, coming down."""
    where: str
    wanted: tuple[WantedLine, ...]
    fit: str = ""
    """Whether it is fit; empty while it is up."""
    look: Literal["fitted", "stop", "waits"] = "waits"
    """Sign beside it."""
    lacks: tuple[str, ...] = ()
    """What keeps it from being fit."""
    first: str = ""
    """What to do first."""
    stopped: str = ""
    """Building is stopped there."""
    damage: str = ""
    """How many parts have open damage, or are missing."""
    spares: bool = False
    """Other kits may be asked for parts."""
    away: str = ""
    """Its log goes on at another laptop, since when."""


@bp.get("/")
def page() -> str:
    """All kits, the one that is wanted next first; those that are up before all others."""
    here, now = yard(), clock_now()
    lines = [kit_line(kit, now) for kit in in_turn(now)]
    return render_template("yard/front.html", lines=lines, shut=here.shut, chief=is_chief(), may_write=may_write(),
                           newest=here.last_number, between=_between(),
                           soon=any(line.fit and line.look == "waits" for line in lines))


@bp.get("/api/state")
def news() -> Response:
    """Whether anything was written down in any kit: what an open page asks."""
    return jsonify({"last_number": yard().last_number, "trouble": [], "alarm": ""})


@bp.get("/api/alarm")
def alarm() -> Response:
    """Nothing stands above the yard's own pages; each kit says for itself that building is stopped."""
    return jsonify({"alarm": ""})


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly."""
    return "", 204


@bp.get("/chief")
def chief() -> AnyResponse:
    """The pass phrase is asked for in any kit: it is the same for all."""
    return redirect(f"{request.script_root}/{yard().kits[0].name}/chief", 303)


def in_turn(now: datetime) -> tuple[YardKit, ...]:
    """What is stopped first, then what is up, then what is wanted soonest."""
    return tuple(sorted(yard().kits, key=lambda kit: _turn(kit, now.date())))


def _turn(kit: YardKit, today: date) -> tuple[bool, bool, date, str]:
    """What is stopped or up comes first, then what is wanted soonest."""
    state = kit.book.state
    soonest = next((one.first for one in to_come(state.wanted, today)), FAR_OFF)
    return state.stop is None, not state.fitted and state.phase == "stores", soonest, kit.name


def kit_line(kit: YardKit, now: datetime) -> KitLine:
    """One kit in words; while it lies in the stores, whether it is fit."""
    state = kit.book.state
    line: dict[str, Any] = {"name": kit.name, "title": kit.title, "prefix": kit.prefix,
            "course": course_words(kit, state),
            "where": state.where, "wanted": wanted_lines(state.wanted, now.date())[:MOST_WANTED],
            "damage": _damage(state), "spares": len(yard().kits) > 1 and _lacks(kit, now), "away": _away(state, now),
            "stopped": in_words(stop_head(state.stop, now)) if state.stop else ""}
    if state.phase != "stores" or state.fitted:
        return KitLine(**line, first=_("Open it: its start page says what is next"))
    return KitLine(**line, **_fitness(kit, state, now))


def _lacks(kit: YardKit, now: datetime) -> bool:
    """True if parts of it are lacking, damaged or missing."""
    return bool(needs(PoolKit(kit.name, kit.book.site.kit, kit.book.site.plan, kit.book.state,
                              kit.book.site.checklist or default_checks(kit.book.site.kit.design)), now))


def _away(state: State, now: datetime) -> str:
    if state.log_away is None:
        return ""
    return _("Its log goes on at its own laptop since {time}: anywhere else it stands as it left.").format(
        time=clock_words(state.log_away.since, now))


def _between() -> str:
    """How many parts are at another kit, or asked for; empty if none."""
    count = sum(past.away is not None and past.borrowed is None for kit in yard().kits
                for past in kit.book.state.parts.values()) + sum(len(kit.book.state.asks) for kit in yard().kits)
    return ngettext("{n} part between kits", "{n} parts between kits", count).format(n=count) if count else ""


def _damage(state: State) -> str:
    hurt = sum(1 for part in state.parts.values() if part.condition != "scrapped" and (part.defects or part.missing))
    return ngettext("{n} part is damaged or missing", "{n} parts are damaged or missing", hurt).format(
        n=hurt) if hurt else ""


def course_words(kit: YardKit, state: State) -> str:
    """How far it is, in a few words."""
    up = progress(kit.book.site.plan, state)
    if state.phase == "striking":
        return _("coming down: {n} of its parts are still up").format(n=len(state.fitted))
    if state.fitted and up.fitted == up.needed:
        return _("stands")
    if state.fitted or state.phase == "raising":
        return _("going up: {done} of {total} places filled").format(done=up.fitted, total=up.needed)
    return _("in the stores")


def _fitness(kit: YardKit, state: State, now: datetime) -> dict[str, Any]:
    """What the kit's own page of readiness says, as far as it is worked out."""
    checklist = kit.book.site.checklist or default_checks(kit.book.site.kit.design)
    try:
        with kit.app.app_context():
            found = ready_now(kit.book.site.plan, state, checklist, now=now, patience_s=0.0)
    except RaisebookError as error:
        return {"fit": _("Not fit: it cannot be judged"), "look": "stop", "lacks": (str(error),)}
    if found is None:
        return {"fit": _("Fit or not: being worked out")}
    return dict(_said(found))


def _said(found: ReadyNow) -> Iterator[tuple[str, Any]]:
    reasons = reason_lines(found.ready.reasons)
    yield "fit", headline(found.ready)
    yield "look", "fitted" if found.ready.fit else "stop"
    yield "lacks", tuple(reason.words for reason in reasons)
    yield "first", reasons[0].what_next if reasons else ""
