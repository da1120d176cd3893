"""The log as people read it, and taking an entry back."""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.cards.entries import EntryLine, done, entry_line, reader
from fieldapp.web.common.context import standing, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, entry_number
from fieldapp.web.common.i18n import _
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("log", __name__)

PAGE_LINES = 50


@bp.get("/log")
def page() -> str:
    """Recent entries, newest first, fifty a page."""
    skip = entry_number(request.args.get("skip", "")) or 0
    entries = state().entries[::-1]
    lines = [entry_line(standing(), entry, reader()) for entry in entries[skip:skip + PAGE_LINES]]
    older = skip + PAGE_LINES if len(entries) > skip + PAGE_LINES else None
    return render_template("log/log.html", lines=lines, older=older, total=len(entries), done=done(), here="log")


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
