"""All that happened to a part, across raises; and the parts that somebody must look at."""

from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, render_template

from fieldapp.base.clock import clock_words
from fieldapp.base.said import listed
from fieldapp.log.state import State
from fieldapp.reports.parts.history import HistoryLine, part_history, part_uses
from fieldapp.web.cards.entries import EntryLine, Reader, entry_line, reader
from fieldapp.web.common.context import SiteMoment, site, standing, state
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.lookup import find_part

bp = Blueprint("history", __name__)
watched = Blueprint("watched", __name__)


@bp.get("/history/<text>")
def page(text: str) -> str:
    """Every entry about the part, newest first, also those taken back, with the raise they fell into."""
    part = find_part(text).part
    lines = history_lines(standing(), part_history(state(), part.id), reader())
    return render_template("parts/history.html", part=part, lines=lines, uses=use_words(state(), part.id), here="part")


@watched.get("/watched", endpoint="page")
def needing() -> str:
    """Parts that are quarantined, watched, mended or missing."""
    return render_template("parts/watched.html", groups=watched_lines(state(), site().clock()), here="chief")


@dataclass(frozen=True, slots=True)
class PastLine:
    """One entry, and why it does not count, if it does not."""

    line: EntryLine
    heading: str
    """The raise it fell into, or that it fell between raises; empty below another entry of the same."""
    why_not: str


@dataclass(frozen=True, slots=True)
class WatchedGroup:
    """Parts that need the same thing done."""

    words: str
    parts: tuple[tuple[str, str], ...]
    """(ID, what is known)."""


def history_lines(at: SiteMoment, past: tuple[HistoryLine, ...], reader: Reader) -> tuple[PastLine, ...]:
    """Newest first."""
    newest, before = past[::-1], (None, *(one.raise_name for one in reversed(past)))
    return tuple(PastLine(entry_line(at, one.entry, reader),
                          "" if one.raise_name == above else one.raise_name or _("Between raises"),
                          "" if one.standing == "counts" else in_words(one.why))
                 for one, above in zip(newest, before, strict=False))


def use_words(state: State, part_id: str) -> str:
    """"Fitted in 2 raises, damaged once, mended once"."""
    use = next(use for use in part_uses(state) if use.part == part_id)
    words = [ngettext("fitted in {n} raise", "fitted in {n} raises", use.raises).format(n=use.raises),
             ngettext("damaged once", "damaged {n} times", use.damaged).format(n=use.damaged),
             ngettext("mended once", "mended {n} times", use.repaired).format(n=use.repaired),
             ngettext("checked {n} time", "checked {n} times", use.checked).format(n=use.checked)]
    return listed(words)


def watched_lines(state: State, now: datetime) -> tuple[WatchedGroup, ...]:
    """Quarantined and mended (to release), quarantined and not mended (to mend), watched, missing, without a label."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for part in state.all_parts():
        words = _need(state, part.id)
        if words:
            groups.setdefault(words, []).append((part.id, _known(state, part.id, now)))
    return tuple(WatchedGroup(words, tuple(groups[words])) for words in _needs() if words in groups)


def _needs() -> tuple[str, ...]:
    return (_("Mended, to be released"), _("Quarantined, to be mended or scrapped"), _("Usable, to be watched"),
            _("Missing"), _("Labels to print"))


def _need(state: State, part_id: str) -> str:
    past, needs = state.parts[part_id], _needs()
    if past.condition == "scrapped":
        return ""
    if past.condition == "quarantined":
        unsafe = any(defect.unsafe and not defect.mended for defect in past.defects)
        return needs[1] if unsafe else needs[0]
    if past.missing:
        return needs[3]
    if past.condition == "watch":
        return needs[2]
    return needs[4] if past.label_gone else ""


def _known(state: State, part_id: str, now: datetime) -> str:
    past = state.parts[part_id]
    words = [in_words(reason) for reason in past.reasons]
    if past.fitted_at:
        words.append(_("sits at {place}").format(place=past.fitted_at))
    if past.usable_from and past.usable_from > now:
        words.append(_("usable from {time}").format(time=clock_words(past.usable_from, now)))
    return " · ".join(words)
