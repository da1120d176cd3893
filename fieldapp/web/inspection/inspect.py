"""An inspection round on the phones: the overview, the part in hand, one press for a sound one, on to the next."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.log.entry import Refusal
from fieldapp.reports.inspection import round_report
from fieldapp.web.cards.part_view import bands, where_choices
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.forms import MAX_WORDS_CHARS
from fieldapp.web.common.i18n import _
from fieldapp.web.common.inspecting import (
    INSPECT_COOKIE,
    again_now,
    begin,
    by_label,
    checklist,
    inspects,
    not_yet_seen,
    own_box,
    part_address,
    round_mark,
    seen_by_referrer,
    seen_how,
    seen_now,
    why_again,
)
from fieldapp.web.common.lookup import Found, find_part, foreign_words, look_up
from fieldapp.web.common.page import marks_of, part_choice
from fieldapp.web.common.rights import may_write
from fieldapp.web.common.writing import gone_back, submit, wish
from fieldapp.web.inspection.form import CheckForm, all_sound, check_form
from fieldapp.web.inspection.part_view import list_view, past_view
from fieldapp.web.inspection.view import CheckDone, check_done, round_view
from fieldapp.web.photos.reading import photo_words, read_photo
from fieldapp.wording.carried import carries_words

bp = Blueprint("inspect", __name__)


@bp.get("/inspect")
def page(problem: tuple[str, str] | None = None, typed: str = "") -> str:
    """Scan the next part; below that, how far the round is and what is open."""
    report, now = round_report(state()), site().clock()
    view = round_view(state(), report, own_box=own_box(), again=again_now(), now=now) if report else None
    return render_template("inspection/inspect.html", here="inspect", view=view, done=_done(), inspects=inspects(),
                           problem=problem, typed=typed, round=state().open_round,
                           takes=state().open_round is not None and may_write())


@bp.get("/inspect/find")
def find() -> AnyResponse | tuple[str, int]:
    """What was typed leads on to the part, or is said to be none."""
    text = request.args.get("q", "").strip()
    answer = look_up(text)
    if answer.part is None:
        return page((answer.message, _("The ID stands in big letters on the label.")), text), 404
    return redirect(part_address(Found(answer.part, answer.end).typed, seen_how(text)), 303)


@bp.get("/inspect/photo")
def photo_again() -> AnyResponse:
    """A phone that reopens the tab of a photo that could not be read."""
    return redirect(url_for("inspect.page"), 303)


@bp.post("/inspect/photo")
def photo() -> AnyResponse | tuple[str, int]:
    """Read the label in a photo; the first that is one of ours leads on."""
    upload = request.files.get("photo")
    reading = read_photo(upload.stream if upload else None, site().kit)
    if reading.problem:
        return page(photo_words(reading.problem)), 422
    known, foreign = [text for text in reading.texts if look_up(text).found], foreign_words(reading.texts)
    if known and len(known) + len(foreign) > 1:
        choices = [part_choice(part_address(find_part(text).typed, "scanned")) for text in known]
        return render_template("parts/choose.html", here="inspect", choices=choices, foreign=foreign), 200
    return redirect(part_address(find_part((known or list(reading.texts))[0]).typed, "scanned"), 303)


@bp.get("/inspect/P/<text>")
def part(text: str) -> Response:
    """This part's past, the lines of the list, and one press if it is sound."""
    found = find_part(text)
    answer = make_response(_part_page(found, seen_now(request.args), CheckForm()))
    return begin(answer) if state().open_round and INSPECT_COOKIE not in request.cookies else answer


@bp.post("/inspect/P/<text>")
def checked(text: str) -> AnyResponse | tuple[str, int]:
    """Write the check down and go on to the next part; or ask back with all that was said still there."""
    found, checks = find_part(text), checklist().lines(find_part(text).part.kind)
    said = check_form(request.form, checks, found.part, spots=[number for number, _words in _wheres(found)])
    return _written(found, said, seen_now(request.form))


@bp.post("/P/<text>/sound")
def sound(text: str) -> AnyResponse | tuple[str, int]:
    """Typed and found sound, from the field that every page has out of reach of the laptop."""
    found = find_part(text)
    return _written(found, all_sound(checklist().lines(found.part.kind)), seen_now({**request.form, "seen": "typed"}))


def _written(found: Found, said: CheckForm, seen: str) -> AnyResponse | tuple[str, int]:
    if not seen:
        return _part_page(found, "", said, Refusal(_("It counts only if it was scanned or typed in this round."),
                                                   _("Scan its label, or type its ID."))), 409
    if said.problem:
        return _part_page(found, seen, said, Refusal(said.problem)), 409
    box = "" if state().parts[found.part.id].bundle else own_box()      # what is in a known bundle counts there
    data = {"items": list(said.items), "seen": seen, "box": box}
    answer = submit(wish("checked", found.part.id, data=data))
    if isinstance(answer, Refusal):
        return _part_page(found, seen, said, answer), 409
    return gone_back(answer, url_for("inspect.page"))


def _part_page(found: Found, seen: str, said: CheckForm, refusal: Refusal | None = None) -> str:
    here, wheres = found.part, _wheres(found)
    return render_template(
        "inspection/part.html", here="inspect", part=here, seen=seen, refusal=refusal,
        list=list_view(checklist().lines(here.kind), standing(), here, spots=wheres, said=request.form),
        past=past_view(standing(), here, site().clock(), again=why_again(here.id)),
        remark=found.remark, carries=carries_words(marks_of(here.id)), bands=bands(site().kit, here),
        letter=here.part_class if here.kind == "strut" else "", dial=here.made_for if here.kind == "hub" else None,
        round=state().open_round, max_words=MAX_WORDS_CHARS)


def _wheres(found: Found) -> tuple[tuple[int, str], ...]:
    return where_choices(site().kit.frame, state(), found.part)



def _done() -> CheckDone | None:
    """The check that `?done=` names, unless it was taken back."""
    entry = state().index.get(request.args.get("done", ""))
    if entry is None or entry.kind != "checked" or entry.key in state().withdrawn:
        return None
    return check_done(state(), entry)


@bp.before_app_request
def _straight_on() -> AnyResponse | None:
    """A label that the camera app opens on a phone that inspects leads straight to the list."""
    if not by_label() or not inspects():
        return None
    text = str((request.view_args or {}).get("text", ""))
    return redirect(part_address(text, "scanned"), 303) if look_up(text).found else None


@bp.app_context_processor
def _hints() -> dict[str, object]:
    """For the start page and the part page: what is left to inspect, and how this part was opened."""
    return {"not_yet_seen": not_yet_seen, "seen_by_referrer": seen_by_referrer, "part_address": part_address,
            "round_mark": round_mark, "why_again": why_again}
