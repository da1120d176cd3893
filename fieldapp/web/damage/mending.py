"""Mending a part, putting it back to use with a name, or giving it up."""

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.entry import Refusal
from fieldapp.web.cards.where_choices import where_choices
from fieldapp.web.common.context import site, state, tidy, who
from fieldapp.web.common.forms import MAX_WORDS_CHARS
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import Found, find_part
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down
from fieldapp.web.damage.forms_repair import RepairForm, repair_form
from fieldapp.wording.mending import repairs, spots_mended

bp = Blueprint("mending", __name__)


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
    return render_template("damage/repair.html", part=found.part, said=said, refusal=refusal, here="part",
                           hows=repairs(found.part.kind), past=state().parts[found.part.id],
                           wheres=where_choices(site().kit.frame, state(), found.part))


@bp.get("/release/<text>")
def release(text: str) -> str:
    """Who answers for it?"""
    part = find_part(text).part
    return render_template("damage/release.html", part=part, past=state().parts[part.id], chief=is_chief(), here="part")


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
