"""The report of a raise: the day in one page, and as JSON."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Response, abort, jsonify, render_template

from fieldapp.base.clock import clock_words
from fieldapp.log.entry import Entry
from fieldapp.reports.raising.day import DayReport, day_report
from fieldapp.web.cards.entries import EntryLine, entry_line, reader
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.i18n import _

bp = Blueprint("day", __name__)


@dataclass(frozen=True, slots=True)
class EntryGroup:
    """Entries of one kind under their heading."""

    heading: str
    lines: tuple[EntryLine, ...]


@bp.get("/day")
def page() -> str:
    """The newest raise."""
    report = _asked()
    return render_template("raising/day.html", report=report, times=_times(report), groups=_groups(report), here="log")


@bp.get("/api/day")
def as_json() -> Response:
    """The same as JSON."""
    report = _asked()
    return jsonify({
        "name": report.name, "started": report.started.isoformat(),
        "strike_started": report.strike_started.isoformat() if report.strike_started else None,
        "ended": report.ended.isoformat() if report.ended else None,
        "fitted": report.fitted, "taken_down": report.taken_down, "stored": report.stored,
        "broken": [{"part": b.part, "place": b.place, "what": b.what, "severity": b.severity} for b in report.broken],
        "moved": [{"part": entry.part, "place": entry.place} for entry in report.moved],
        "listed": {kind: [entry.part for entry in entries] for kind, entries in report.listed.items()},
        "withdrawn": report.withdrawn, "still_out": list(report.still_out), "by_sender": dict(report.by_sender)})


def _asked() -> DayReport:
    report = day_report(state())
    if report is None:
        abort(404, _("raise"))
    return report


def _times(report: DayReport) -> tuple[tuple[str, str], ...]:
    now = site().clock()
    moments = ((_("Raise started"), report.started), (_("First part fitted"), report.first_fitted),
               (_("Last part fitted"), report.last_fitted), (_("Strike started"), report.strike_started),
               (_("All stored"), report.ended))
    return tuple((words, clock_words(at, now)) for words, at in moments if at is not None)


def _groups(report: DayReport) -> tuple[EntryGroup, ...]:
    headings = {"exchanged": _("Given another place"), "repaired": _("Repaired"), "released": _("Released for use"),
                "made": _("Made new"), "missing": _("Missing"), "found": _("Found"), "scrapped": _("Scrapped"),
                "label_reprinted": _("Labels printed again")}
    groups = [EntryGroup(_("Broken"), _lines(broken.entry for broken in report.broken)),
              EntryGroup(_("Fitted at another place"), _lines(report.moved)),
              *(EntryGroup(headings[kind], _lines(entries)) for kind, entries in report.listed.items())]
    return tuple(group for group in groups if group.lines)


def _lines(entries: Iterable[Entry]) -> tuple[EntryLine, ...]:
    return tuple(entry_line(standing(), entry, reader()) for entry in entries)
