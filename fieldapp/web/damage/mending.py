"""Mending a part, putting it back to use with a name, or giving it up."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.clock import later, moment_of
from fieldapp.kit.kit import PartKind
from fieldapp.log.entry import Refusal
from fieldapp.web.cards.part_view import where_choices
from fieldapp.web.common.context import site, state, tidy, who
from fieldapp.web.common.forms import MAX_WORDS_CHARS, number_or_none
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import Found, find_part
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down
from fieldapp.wording.log import repairs, spots_mended

bp = Blueprint("mending", __name__)


@dataclass(frozen=True, slots=True)
class RepairForm:
    """One repair as it was told."""

    how: str = ""
    by: str = ""
    where: int | None = None
    wait_h: int = 0
    usable_from: datetime | None = None
    share: int | None = None
    """What the mended arm or end can take [% of a sound one]; None: as a sound one."""
    words: str = ""
    problem: str = ""
    """What could not be read, in words."""

    @property
    def typed_time(self) -> str:
        """The time for its field, if it was typed and not chosen."""
        return f"{self.usable_from:%Y-%m-%dT%H:%M}" if self.usable_from and not self.wait_h else ""

    @property
    def typed_share(self) -> str:
        """The strength for its field."""
        return "" if self.share is None else str(self.share)

    def data(self, kind: PartKind) -> Mapping[str, object]:
        """As the log keeps it."""
        found: dict[str, object] = {"how": self.how, "by": self.by, "words": self.words}
        if self.where is not None:
            found["arm" if kind == "hub" else "end"] = self.where
        if self.usable_from is not None:
            found["usable_from"] = self.usable_from.isoformat()
        if self.share is not None:
            found["capacity"] = self.share / 100.0
        return found


def repair_form(form: Mapping[str, str], now: datetime) -> RepairForm:
    """Read the fields; `now` carries the laptop's zone, in which a time without zone was meant."""
    usable_from, problem = _usable_from(form, now)
    share = number_or_none(form.get("share", "").strip())
    if form.get("share", "").strip() and (share is None or share > 100):
        problem = _("The strength must be a whole number from 0 to 100, got {text}.").format(text=form["share"][:12])
        share = None
    wait = number_or_none(form.get("wait_h", "")) or 0
    return RepairForm(how=tidy(form.get("how", ""), 40), by=tidy(form.get("by", ""), 80),
                      where=number_or_none(form.get("where", "")), wait_h=wait, usable_from=usable_from, share=share,
                      words=tidy(form.get("words", ""), MAX_WORDS_CHARS), problem=problem)


def _usable_from(form: Mapping[str, str], now: datetime) -> tuple[datetime | None, str]:
    """The typed time in the laptop's zone, or so many hours from now; the typed one counts."""
    typed = form.get("usable_from", "").strip()
    if not typed:
        wait = number_or_none(form.get("wait_h", "")) or 0
        return (later(now, 60.0 * wait) if wait else None), ""
    try:
        return moment_of(typed, now.tzinfo).astimezone(now.tzinfo), ""
    except ValueError:
        return None, _("The time must look like {example}, got {text}.").format(
            example=f"{now:%Y-%m-%dT%H:%M}", text=typed[:30])


@bp.get("/repair/<text>")
def repair(text: str) -> str:
    """How was it mended, by whom, usable from when?"""
    found = find_part(text)
    return _repair_page(found, RepairForm(by=who(), where=spots_mended(state(), found.part)))


@bp.post("/repair/<text>")
def repaired(text: str) -> Response | tuple[str, int]:
    """Write the repair down, or ask back with all that was said still there."""
    found = find_part(text)
    form = repair_form(request.form, site().clock())
    if form.problem:
        return _repair_page(found, form, Refusal(form.problem)), 409
    answer = submit(wish("repaired", found.part.id, data=form.data(found.part.kind)))
    if isinstance(answer, Refusal):
        return _repair_page(found, form, answer), 409
    return gone_back(answer, _part(found))


def _repair_page(found: Found, said: RepairForm, refusal: Refusal | None = None) -> str:
    part = found.part
    return render_template("damage/repair.html", part=part, said=said, refusal=refusal, here="part",
                           hows=repairs(part.kind), arms=part.kind == "hub", past=state().parts[part.id],
                           wheres=where_choices(site().kit.frame, state(), part))


@bp.get("/release/<text>")
def release(text: str) -> str:
    """Who answers for it?"""
    part = find_part(text).part
    past = state().parts[part.id]
    return render_template("damage/release.html", part=part, past=past, kept_out=past.condition == "quarantined",
                           chief=is_chief(), here="part")


@bp.post("/release/<text>")
def released(text: str) -> Response | tuple[str, int]:
    """Back to use, with a name."""
    found = find_part(text)
    data = {"name": tidy(request.form.get("name", ""), 80), "words": _words("words")}
    return write_down(wish("released", found.part.id, data=data), _part(found))


@bp.get("/scrap/<text>")
def scrap(text: str) -> str:
    """Really, and why?"""
    part = find_part(text).part
    return render_template("damage/scrap.html", part=part, past=state().parts[part.id], chief=is_chief(), here="part")


@bp.post("/scrap/<text>")
def scrapped(text: str) -> Response | tuple[str, int]:
    """Never to be used again."""
    found = find_part(text)
    if not request.form.get("sure"):
        return refused(Refusal(_("Tick that it is not to be used again.")), url_for("mending.scrap", text=text))
    return write_down(wish("scrapped", found.part.id, data={"reason": _words("reason")}), _part(found))


def _words(name: str) -> str:
    return tidy(request.form.get(name, ""), MAX_WORDS_CHARS)


def _part(found: Found) -> str:
    return url_for("part.page", text=found.part.id)
