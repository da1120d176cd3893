"""The kit as a heap of parts: what else can happen to one, missing, a label printed again, a new part made."""

from dataclasses import dataclass

from flask import Blueprint, Response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.kit.kit import PartKind
from fieldapp.kit.parts import class_names
from fieldapp.log.entry import Entry, Refusal
from fieldapp.log.state import PartState
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, number_or_none
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down

bp = Blueprint("stock", __name__)


@bp.get("/more/<text>")
def more(text: str) -> str:
    """What else happened to this part?"""
    part = find_part(text).part
    return render_template("parts/more.html", part=part, acts=more_acts(state().parts[part.id]), here="part")


@bp.get("/missing/<text>")
def missing(text: str) -> str:
    """Where was it seen last?"""
    part = find_part(text).part
    return render_template("parts/missing.html", part=part, past=state().parts[part.id], here="part")


@bp.post("/missing/<text>")
def gone(text: str) -> AnyResponse | tuple[str, int]:
    """Nobody knows where it is."""
    part = find_part(text).part
    data = {"words": tidy(request.form.get("words", ""), MAX_WORDS_CHARS)}
    return write_down(wish("missing", part.id, data=data), url_for("part.page", text=part.id))


@bp.get("/label/<text>")
def label(text: str) -> str:
    """A sheet with the labels of this part, and the press that says that they are on it."""
    found = find_part(text)
    sheet = site().kit.design.labels
    return render_template("parts/label.html", part=found.part, text=found.typed, per_sheet=sheet.columns * sheet.rows,
                           done=done(), here="part")


@bp.get("/label/<text>/labels.pdf")
def pdf(text: str) -> Response:
    """The sheet as PDF; `?start=` is the first free label on it."""
    found = find_part(text)
    from fieldapp.prints.sheets.new_places import labels_pdf  # brings in the PDF library, which pages do without

    data = labels_pdf(site().kit, state(), [found.typed], start=number_or_none(request.args.get("start", "")) or 1)
    return Response(data, mimetype="application/pdf",
                    headers={"Content-Disposition": f'inline; filename="{found.part.id}.pdf"'})



@bp.post("/label/<text>")
def printed(text: str) -> AnyResponse | tuple[str, int]:
    """The new label is on the part."""
    found = find_part(text)
    data = {"end": found.end} if found.end else {}
    return write_down(wish("label_reprinted", found.part.id, data=data), url_for("part.page", text=found.part.id))


@bp.get("/make")
def make() -> str:
    """A new part was made: of which class, for which place?"""
    frame, wanted = site().kit.frame, request.args
    kinds: tuple[PartKind, ...] = ("hub", "strut")
    classes = {kind: [(f"{kind} {name}", name) for name in class_names(frame, kind)] for kind in kinds}
    return render_template("parts/make.html", hubs=classes["hub"], struts=classes["strut"],
                           chosen=f"{wanted.get('kind', '')} {wanted.get('part_class', '')}",
                           place=tidy(wanted.get("place", ""), 16), here="find")


@bp.post("/make")
def made() -> AnyResponse | tuple[str, int]:
    """Give it the next free ID, and go to its label."""
    kind, _, part_class = request.form.get("what", "").partition(" ")
    place = tidy(request.form.get("place", ""), 16).upper() or None
    answer: Entry | Refusal = submit(wish("made", place=place, data={"kind": kind, "part_class": part_class}))
    if isinstance(answer, Refusal):
        return refused(answer, url_for("stock.make"))
    return gone_back(answer, url_for("stock.label", text=answer.part))


@dataclass(frozen=True, slots=True)
class MoreAct:
    """One way on: a page of its own."""

    endpoint: str
    words: str
    chief: bool = False


def more_acts(past: PartState) -> tuple[MoreAct, ...]:
    """Pages for a part in this state."""
    if past.condition == "scrapped" or past.away is not None:
        return (_history(),)
    hurt = past.condition != "sound" or bool(past.defects)
    acts = [MoreAct("mending.repair", _("It was mended"))] if hurt else []
    if past.condition == "quarantined":
        acts.append(MoreAct("mending.release", _("Release it for use"), chief=True))
    acts.append(MoreAct("bundles.store", _("It goes into a bundle")))
    if not past.missing and not past.fitted_at:
        acts.append(MoreAct("stock.missing", _("It is missing")))
    acts.append(MoreAct("stock.label", _("Print its label again")))
    acts.append(MoreAct("codes.page", _("It carries a code or a mark of its own")))
    if not hurt:
        acts.append(MoreAct("mending.repair", _("It was mended")))
    if not past.fitted_at:
        acts.append(MoreAct("mending.scrap", _("Scrap it"), chief=True))
    return (*acts, _history())


def _history() -> MoreAct:
    return MoreAct("history.page", _("All that happened to it"))
