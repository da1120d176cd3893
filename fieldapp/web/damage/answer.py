"""Writing down damage: what broke, where, how bad, with a photo; and the answer: may it stay in?"""

from dataclasses import dataclass, replace
from datetime import datetime

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.damage import damage_named, damages
from fieldapp.log.entry import Entry, Refusal
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.kinds import DamagedData
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.damage import DamageAnswer, damage_answer
from fieldapp.reports.exchange import next_tick
from fieldapp.reports.verdict import Sign
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.part_view import where_choices
from fieldapp.web.cards.status import place_of
from fieldapp.web.common.context import site, state
from fieldapp.web.common.forms import DamageForm, damage_form, number_or_none
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import Found, find_part
from fieldapp.web.common.writing import gone_back, submit, wish
from fieldapp.web.damage.exchange import ExchangeView, exchange_view
from fieldapp.web.damage.other import Instead, instead_of
from fieldapp.web.photos.kept import sent_photo
from fieldapp.wording.damage import damage_words, leave_in_words, verdict_words
from fieldapp.wording.exchange import running_lines

bp = Blueprint("damage", __name__)

SHAPES: dict[str, Sign] = {"go on": "fitted", "hold and replace": "waits", "stop": "stop", "in the stores": "spare"}


@bp.get("/damage/<text>")
def page(text: str) -> str:
    """Choices for this kind of part; the end that the label said, or the arm that was tapped, is chosen already."""
    found = find_part(text)
    return _form(found, DamageForm(where=found.end or number_or_none(request.args.get("where", ""))))


@bp.post("/damage/<text>")
def write(text: str) -> Response | tuple[str, int]:
    """Write it down and answer; or ask for what is missing with all that was said still there."""
    found = find_part(text)
    part, said = found.part, damage_form(request.form)
    choice = damage_named(part.kind, said.what)
    photo, trouble = sent_photo(site().photos)
    if trouble:
        return _form(found, said, trouble), 409
    data = {**said.data(choice.where if choice else ""), "photo": photo}
    answer = submit(wish("damaged", part.id, request.form.get("place"), data=data))
    if isinstance(answer, Refusal):
        return _form(found, said, answer), 409
    return gone_back(answer, url_for("damage.answer", key=answer.key))


@bp.get("/answer/<key>")
def answer(key: str) -> str | Response:
    """May it stay in, what to hold, what the neighbours carry, what to fetch or to make; once answered, the part."""
    entry = state().index.get(key)
    if entry is None or entry.kind != "damaged" or entry.part is None:
        abort(404, _("answer"))
    defect = next((one for one in state().parts[entry.part].defects if one.entry == key), None)
    if (defect is None and not _only_label(entry)) or (defect is not None and (defect.released or defect.mended)):
        return redirect(url_for("part.page", text=entry.part), 303)
    view = answer_view(site().book.site, state(), entry, site().clock())
    return render_template("damage/answer.html", view=view, entry=entry, done=done(), here="part")


def _form(found: Found, said: DamageForm, refusal: Refusal | None = None) -> str:
    part = found.part
    return render_template("damage/damage.html", part=part, said=said, choices=damages(part.kind), refusal=refusal,
                           wheres=where_choices(site().kit.frame, state(), part), here="part",
                           photos=site().photos is not None, home=place_of(state(), part.id) == part.made_for,
                           arms=part.kind == "hub", dial=part.made_for if part.kind == "hub" else None,
                           place=request.values.get("place", ""))


@dataclass(frozen=True, slots=True)
class AnswerView:
    """What to do about one damage."""

    part: str
    place: str | None
    shape: Sign
    headline: str
    label_only: bool
    lines: tuple[str, ...]
    holds: tuple[str, ...]
    instead: Instead | None
    """Parts that could take its place; None where it may be used on, or has no place."""
    photo: str
    erased: bool
    """True if the photo was erased on request."""
    sits: bool
    """True if it sits in the frame."""
    exchange: ExchangeView | None = None
    """How it is exchanged while the frame stands, or what comes first; None where nothing is to be exchanged."""
    running: str = ""
    """Place at which a part is being exchanged: then that is all that is said."""


def answer_view(site: Setting, state: State, entry: Entry, now: datetime) -> AnswerView:
    """The answer at this moment to damage written down earlier."""
    part_id, data = str(entry.part), DamagedData.model_validate(dict(entry.data))
    label_only = _only_label(entry)
    found = damage_answer(site, state, part_id, damage=data, now=now)
    if state.exchanging is not None and state.parts[part_id].fitted_at and not label_only and found.verdict != "stop":
        return _meanwhile(state, state.exchanging, entry)
    way = exchange_view(found.place) if _is_exchanged(state, found) and found.place else None
    offered = found.stays_out and found.place and not found.striking and (way is None or way.safe) \
        and state.exchanging is None
    instead = instead_of(site, state, found.place, now) if offered and found.place else None
    return AnswerView(
        part=part_id, place=found.place, shape=_shape(found, label_only=label_only),
        headline=_("Only the label: print a new one.") if label_only else _headline(found, way), label_only=label_only,
        lines=() if label_only else _why(found), holds=tuple(hold.hub for hold in found.holds), instead=instead,
        photo=data.photo, erased=entry.erased, sits=state.parts[part_id].fitted_at is not None, exchange=way)


def _meanwhile(state: State, running: Exchanging, entry: Entry) -> AnswerView:
    """Of damage in the frame while a part is exchanged: what is held, and that nothing else is done."""
    part = str(entry.part)
    headline, *lines = running_lines(running, next_tick(state, running))
    return AnswerView(part=part, place=state.parts[part].fitted_at, shape="waits", headline=headline, label_only=False,
                      lines=tuple(lines), holds=running.holds, instead=None, photo=str(entry.data.get("photo") or ""),
                      erased=entry.erased, sits=True, running=running.place)


def _only_label(entry: Entry) -> bool:
    """True if the part itself has no defect."""
    named = damage_named(state().part(str(entry.part)).kind, DamagedData.model_validate(dict(entry.data)).what)
    return named is not None and named.label_only


def _headline(found: DamageAnswer, way: ExchangeView | None) -> str:
    """What to do first; nobody is told to replace what cannot be taken out, or by this line alone: an exchange may ask
    for more hands than the damage does, and its page names them."""
    if way is None or found.verdict == "stop" or (way.safe and not found.holds):
        return verdict_words(found)
    return leave_in_words(found)


def _is_exchanged(state: State, found: DamageAnswer) -> bool:
    """True of what sits in a frame that goes up or stands, and must not stay."""
    return found.stays_out and not found.striking and found.place is not None and state.exchanging is None \
        and state.fitted.get(found.place) == found.part


def _shape(found: DamageAnswer, *, label_only: bool) -> Sign:
    """What may stay and blocks what goes on is no "go on"."""
    if label_only:
        return "fitted"
    return "waits" if found.blocks and found.verdict == "go on" else SHAPES[found.verdict]


def _why(found: DamageAnswer) -> tuple[str, ...]:
    """All words but the first line and the replacements, which have buttons of their own."""
    return damage_words(replace(found, replacements=None))[1:]
