"""The course of a round: the chief opens and closes it, inspectors take boxes; its paper to take away."""

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.base.said import in_words
from fieldapp.log.entry import Refusal
from fieldapp.reports.inspection.record import InspectionRecord, inspection_record, record_csv
from fieldapp.web.common.context import site, state, tidy
from fieldapp.web.common.i18n import _, ngettext
from fieldapp.web.common.inspecting import MAX_BOX_CHARS, begin, checklist, not_yet_seen, own_box, stop
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down

bp = Blueprint("inspect_course", __name__)

FILES = {"record.pdf": "application/pdf", "tags.pdf": "application/pdf", "record.csv": "text/csv; charset=utf-8"}


@bp.get("/inspect/round")
def page() -> str:
    """Open a round, or close the one that is open."""
    return render_template("inspection/round.html", here="inspect", chief=is_chief(), round=state().open_round,
                           last=state().rounds[-1] if state().rounds else None, left=not_yet_seen(),
                           today=f"{site().clock():%Y-%m-%d}", hub_lines=len(checklist().lines("hub")),
                           strut_lines=len(checklist().lines("strut")))


@bp.get("/inspect/round/<act>")
def again(act: str) -> AnyResponse:
    """A phone that reopens the tab of a refusal."""
    return redirect(url_for("inspect_course.page"), 303)


@bp.post("/inspect/round/open")
def opened() -> AnyResponse | tuple[str, int]:
    """Checks count for this round from now on."""
    name = tidy(request.form.get("name", ""), 80)
    return write_down(wish("round_opened", data={"name": name}), url_for("inspect.page"))


@bp.post("/inspect/round/close")
def closed() -> AnyResponse | tuple[str, int]:
    """Its record is complete; parts that nobody saw stay uninspected, which must be meant."""
    left = not_yet_seen()
    if left and not request.form.get("sure"):
        words = ngettext("{n} part is not yet seen.", "{n} parts are not yet seen.", left)
        return refused(Refusal(words.format(n=left),
                               _("Inspect them, or tick that the round is to be closed all the same.")),
                       url_for("inspect_course.page"))
    return write_down(wish("round_closed"), url_for("inspect.page"))


@bp.get("/inspect/box")
@bp.get("/inspect/box/back")
@bp.get("/inspect/stop")
def again_box() -> AnyResponse:
    """A phone that reopens the tab of a refusal."""
    return redirect(url_for("inspect.page"), 303)


@bp.post("/inspect/box")
def box() -> AnyResponse | tuple[str, int]:
    """The owner of this phone takes a box, instead of the one before, and inspects from now on."""
    answer = submit(wish("box_taken", data=_box()))
    if isinstance(answer, Refusal):
        return refused(answer, url_for("inspect.page"))
    return begin(make_response(gone_back(answer, url_for("inspect.page"))))


@bp.post("/inspect/box/back")
def box_back() -> AnyResponse | tuple[str, int]:
    """It stands where others may take it."""
    return write_down(wish("box_given_back", data=_box()), url_for("inspect.page"))


@bp.post("/inspect/stop")
def stopped() -> AnyResponse:
    """This phone inspects no longer: parts open their own pages again, and its box is given back."""
    if own_box():
        submit(wish("box_given_back", data={"box": own_box()}))
    return stop(make_response(redirect(url_for("inspect.page"), 303)))


def _box() -> dict[str, object]:
    return {"box": tidy(request.form.get("box", ""), MAX_BOX_CHARS)}


@bp.app_context_processor
def _of_bundles() -> dict[str, object]:
    """For the page of a bundle, which its tag opens: its last inspection, and whether this phone's owner has it."""
    return {"bundle_inspected": _bundle_words, "own_box": own_box}


def _bundle_words(name: str) -> str:
    record = inspection_record(state(), checklist())
    return next((in_words(tag.said) for tag in record.tags if tag.bundle == name), "") if record else ""


@bp.get("/inspect/<name>")
def file(name: str) -> Response:
    """The record for signing, its table, or the tags of the bundles."""
    if name not in FILES:
        abort(404)
    record = inspection_record(state(), checklist())
    if record is None:
        abort(404)
    shown = "inline" if name.endswith(".pdf") else "attachment"
    return Response(_content(record, name), mimetype=FILES[name], headers={
        "Content-Disposition": f'{shown}; filename="{site().kit.design.frame.prefix}-inspection-{name}"'})


def _content(record: InspectionRecord, name: str) -> bytes:
    from fieldapp.web.inspection.paper import record_pdf, tags_pdf  # bring in the PDF library, which pages do without

    if name == "record.csv":
        return record_csv(record).encode()
    return (record_pdf if name == "record.pdf" else tags_pdf)(site().kit, record)
