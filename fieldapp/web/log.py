"""The log as people read it, and taking an entry back."""

from collections.abc import Iterator

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.words import marked
from fieldapp.log.entry import Entry
from fieldapp.web.cards.entries import EntryLine, done, entry_line, reader
from fieldapp.web.common.context import standing, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, entry_number
from fieldapp.web.common.i18n import _
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("log", __name__)

PAGE_LINES = 50
MOST_SEARCHED = 60
SORTS = {
    "in": frozenset({"fitted", "step_done", "taken_down", "stored", "exchanged"}),
    "broken": frozenset({"damaged", "repaired", "released", "scrapped", "missing", "found"}),
    "hands": frozenset({"duty_taken", "duty_left", "feet_held", "feet_freed"}),
    "course": frozenset({"raise_started", "raise_ended", "strike_started", "way_chosen", "stopped", "stop_seen",
                         "stop_lifted", "wind_read", "wanted", "moved"}),
    "checks": frozenset({"checked", "round_opened", "round_closed", "box_taken", "box_given_back"}),
}
"""Sorts of entries that the log can be narrowed to, by their kinds."""
SORT_WORDS = {"in": marked("in and out"), "broken": marked("damage and repair"), "hands": marked("holding and pegs"),
              "course": marked("course, stop and wind"), "checks": marked("inspection")}


@bp.get("/log")
def page() -> str:
    """Entries, newest first, fifty a page; those alone that hold the words searched for, or are of one sort."""
    skip = entry_number(request.args.get("skip", "")) or 0
    words, about = tidy(request.args.get("q", ""), MOST_SEARCHED), request.args.get("about", "")
    entries = tuple(_chosen(words.casefold(), SORTS.get(about)))
    lines = [entry_line(standing(), entry, reader()) for entry in entries[skip:skip + PAGE_LINES]]
    older = skip + PAGE_LINES if len(entries) > skip + PAGE_LINES else None
    return render_template("log/log.html", lines=lines, older=older, total=len(entries), done=done(), here="log",
                           q=words, about=about if about in SORTS else "", searched=bool(words or about in SORTS),
                           sorts=[(name, _(said)) for name, said in SORT_WORDS.items()])


def _chosen(words: str, kinds: frozenset[str] | None) -> Iterator[Entry]:
    """Newest first; all `words` are looked for in what the page shows: part, place, person, time, what happened."""
    for entry in reversed(state().entries):
        if kinds is not None and entry.kind not in kinds:
            continue
        shown = _shown(entry_line(standing(), entry, reader()), entry).casefold() if words else ""
        if all(word in shown for word in words.split()):
            yield entry


def _shown(line: EntryLine, entry: Entry) -> str:
    return " ".join((line.time, line.words, line.who, entry.part or "", entry.place or "", entry.sender))


@bp.get("/log/<key>/withdraw")
def ask(key: str) -> str:
    """Really? And why?"""
    return render_template("log/withdraw.html", line=_line(key), here="log")


@bp.post("/log/<key>/withdraw")
def withdraw(key: str) -> Response | tuple[str, int]:
    """Take an entry back by a new one."""
    line = _line(key)
    otherwise = "" if line.needs_reason else _("pressed by mistake")
    reason = tidy(request.form.get("reason", ""), MAX_WORDS_CHARS) or otherwise
    asked = wish("withdrawn", data={"entry": key, "reason": reason})
    return write_down(asked, url_for("part.page", text=line.part) if line.part else url_for("log.page"))


def _line(key: str) -> EntryLine:
    entry = state().index.get(key)
    if entry is None:
        abort(404, _("entry"))
    return entry_line(standing(), entry, reader())
