"""Where the kit is, and the days for which it is given: the chief gives them, everybody sees them."""

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.wanted import Promise, days_said, to_come
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import clock_now, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("dates", __name__)

MOST_WHERE = 80


@dataclass(frozen=True, slots=True)
class WantedLine:
    """One promise in words."""

    key: str
    days: str
    where: str
    when: str
    """How far off that is."""


@bp.get("/dates")
def page() -> str:
    """Where it is, what is promised, and the forms."""
    now, today = state(), clock_now().date()
    return render_template("dates/dates.html", here="dates", done=done(), where=now.where, chief=is_chief(),
                           lines=wanted_lines(now.wanted, today), today=today.isoformat(), stands=bool(now.fitted))


@bp.post("/dates/wanted")
def want() -> Response | tuple[str, int]:
    """Give it for these days; the rule refuses a day that is given already."""
    first = tidy(request.form.get("first", ""), 10)
    return write_down(wish("wanted", data={
        "where": _where(), "first": first, "last": tidy(request.form.get("last", ""), 10) or first,
        "words": tidy(request.form.get("words", ""), MAX_WORDS_CHARS)}), url_for("dates.page"))


@bp.post("/dates/moved")
def moved() -> Response | tuple[str, int]:
    """It is somewhere else now."""
    return write_down(wish("moved", data={"where": _where(), "own_log": bool(request.form.get("own_log"))}),
                      url_for("dates.page"))


def _where() -> str:
    return tidy(request.form.get("where", ""), MOST_WHERE)


def wanted_lines(wanted: tuple[Promise, ...], today: date) -> tuple[WantedLine, ...]:
    """Promises that are not over, the next one first."""
    return tuple(WantedLine(one.key, in_words(days_said(one.first, one.last)), one.where, off_words(one, today))
                 for one in to_come(wanted, today))


def off_words(one: Promise, today: date) -> str:
    """How far off the first day is."""
    days = (one.first - today).days
    if days <= 0:
        return _("now")
    return _("tomorrow") if days == 1 else ngettext("in {n} day", "in {n} days", days).format(n=days)
