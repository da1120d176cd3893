"""Is the kit fit? The answer first, with its reasons; then what to make, mend and exchange."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Response, abort, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.base.numbers import percent
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import Entry, Refusal
from fieldapp.log.state import State
from fieldapp.prints.pictures.breakage import Broken, breakage_picture
from fieldapp.reports.damage.breakage_map import BreakageMap, BreakRow
from fieldapp.reports.inspection.went_on import went_on_said
from fieldapp.reports.readiness import Readiness
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.fitness import ReadyNow, ready_now
from fieldapp.web.common.context import patience_s, site, state, tidy
from fieldapp.web.common.forms import number_or_none
from fieldapp.web.common.i18n import _
from fieldapp.web.common.inspecting import checklist
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.page import moment
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down
from fieldapp.web.readiness.view import (
    class_rows,
    gain_rows,
    gap_words,
    headline,
    last_lines,
    load_lines,
    make_lines,
    mend_lines,
    move_lines,
    reason_lines,
    smaller_line,
    spare_lines,
)
from fieldapp.wording.log import entry_words
from labels.svg import svg

SHEET_PATIENCE_S = 8.0
"""How long a sheet for the printer waits; the page that leads to it has the answer already."""

bp = Blueprint("readiness", __name__)


@bp.get("/ready")
def page() -> str:
    """Fit or not, and what to do about it."""
    now = _now(patience_s())
    if now is None:
        return render_template("readiness/soon.html", here="inspect")
    ready = now.ready
    moves = move_lines(ready.outfit.stickers, state())
    return render_template(
        "readiness/ready.html", here="inspect", done=done(), ready=ready, headline=headline(ready),
        went_on=went_on_said(state()), may_go_on=is_chief() and moment().between_raises and not ready.fit,
        reasons=reason_lines(ready.reasons), making=make_lines(ready.making.rows),
        moves=moves, several_moves=len(moves) > 1, gains=gain_rows(ready.outfit),
        gaps=gap_words(ready.outfit, site().kit.frame),
        mend=mend_lines(ready.mend), classes=class_rows(ready.classes), loads=load_lines(ready),
        spares=spare_lines(ready), spares_to_make=make_lines(ready.spares.making.rows), lasted=last_lines(now.survival),
        moved=sum(state().part(part).made_for != place for place, part in state().allocation.items()),
        breakage=now.breakage, breaks=break_lines(now.breakage, state()),
        picture=_picture(now.breakage), smaller=smaller_line(ready),
        allowed=[fit for fit in ready.emergency if fit.allowed],
        forbidden=[fit for fit in ready.emergency if not fit.allowed])


@bp.post("/ready/exchange/<place>")
def exchange(place: str) -> AnyResponse | tuple[str, int]:
    """This part is meant for this place from now on."""
    part = find_part(request.form.get("part", "")).part
    return write_down(wish("exchanged", part.id, tidy(place, 16).upper()), url_for("readiness.page"))


@bp.post("/ready/exchange")
def exchange_all() -> AnyResponse | tuple[str, int]:
    """All that the page listed, in its order; at the first one that is refused the rest is left."""
    last: Entry | None = None
    for number, move in enumerate(request.form.getlist("move")):
        text, _gap, name = move.partition(" ")
        part, place = find_part(text).part.id, tidy(name, 16).upper()
        if site().book.state.home_of(part) == place:        # by the one before: two that change places are one entry
            continue
        answer = submit(wish("exchanged", part, place, suffix=f".{number}"))
        if isinstance(answer, Refusal):
            return refused(answer, url_for("readiness.page"))
        last = answer
    return redirect(url_for("readiness.page"), 303) if last is None else gone_back(last, url_for("readiness.page"))


@bp.get("/ready/exchange")
@bp.get("/ready/exchange/<place>")
def again(place: str = "") -> AnyResponse:
    """A phone that reopens the tab of a refusal."""
    return redirect(url_for("readiness.page"), 303)


@bp.get("/ready/stickers.pdf")
def stickers() -> Response:
    """A sheet of "new place" stickers for all exchanges that are advised."""
    now = _now(SHEET_PATIENCE_S)
    if now is None or not now.ready.outfit.stickers:
        abort(404)
    return _pdf(_stickers_pdf(now.ready, number_or_none(request.args.get("start", "")) or 1), "new-places")


@bp.get("/ready/moved.pdf")
def moved() -> Response:
    """Stickers for parts that were given another place before."""
    from fieldapp.prints.sheets.new_places import moved_parts, moved_pdf  # as above

    if not moved_parts(state()):
        abort(404)
    start = number_or_none(request.args.get("start", "")) or 1
    return _pdf(moved_pdf(site().kit, state(), start=start), "moved")


@bp.get("/ready/labels.pdf")
def labels() -> Response:
    """New labels for all parts whose own cannot be read."""
    now = _now(SHEET_PATIENCE_S)
    if now is None or not now.ready.labels_gone:
        abort(404)
    from fieldapp.prints.sheets.new_places import labels_pdf  # brings in the PDF library, which pages do without

    start = number_or_none(request.args.get("start", "")) or 1
    return _pdf(labels_pdf(site().kit, state(), now.ready.labels_gone, start=start), "labels")


def _now(wait_s: float) -> ReadyNow | None:
    return ready_now(site().plan, state(), checklist(), now=site().clock(), patience_s=wait_s)


def _stickers_pdf(ready: Readiness, start: int) -> bytes:
    from fieldapp.prints.sheets.new_places import stickers_pdf  # as above

    return stickers_pdf(site().kit, state(), ready.outfit.stickers, start=start)


def _pdf(data: bytes, name: str) -> Response:
    prefix = site().kit.design.frame.prefix
    return Response(data, mimetype="application/pdf",
                    headers={"Content-Disposition": f'inline; filename="{prefix}-{name}.pdf"'})


def _picture(breakage: BreakageMap) -> Markup:
    """Breaks by place over arm use."""
    uses = {place.place: place.utilisation for place in breakage.places if place.kind == "strut"}
    broken = [Broken(place.place, place.breaks, place.arms[0][0] if len(place.arms) == 1 else None)
              for place in breakage.places if place.breaks]
    return Markup(svg(breakage_picture(site().kit.frame, uses, broken)))


@dataclass(frozen=True, slots=True)
class BreakLine:
    """One break in the frame, for whoever makes the next hub."""

    spot: str
    words: str


def break_lines(found: BreakageMap, state: State) -> tuple[BreakLine, ...]:
    """Place, arm, step, and how hard the place is used against the others, newest first."""
    return tuple(BreakLine(_spot_words(row, state.kit), " · ".join(_break_words(row, state)))
                 for row in reversed(found.rows))


def _spot_words(row: BreakRow, kit: Kit) -> str:
    if row.arm is None:
        return row.place
    strut = kit.frame.hub(row.place).arms[row.arm - 1].strut
    return _("{hub}, arm for {strut}").format(hub=row.place, strut=strut)


def _break_words(row: BreakRow, state: State) -> Iterable[str]:
    yield _("asked {use} of what it can take; {share} of such places are asked more").format(
        use=percent(row.utilisation), share=percent(row.harder))
    if row.step:
        yield _("while step {step} was built").format(step=row.step)
    yield entry_words(row.entry, state)
