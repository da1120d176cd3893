"""Writing down damage: what broke, where, how bad, with a photo; and the answer: may it stay in?"""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.damage import damage_named, damages
from fieldapp.log.entry import Refusal
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.status import place_of
from fieldapp.web.cards.where_choices import where_choices
from fieldapp.web.common.context import site, state
from fieldapp.web.common.forms import DamageForm, damage_form
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import Found, find_part
from fieldapp.web.common.writing import gone_back, submit, wish
from fieldapp.web.damage.damage_view import answer_view
from fieldapp.web.photos.photo_form import sent_photo

bp = Blueprint("damage", __name__)


@bp.get("/damage/<text>")
def page(text: str) -> str:
    """Choices for this kind of part; the end that the label said is chosen already."""
    found = find_part(text)
    return _form(found, DamageForm(where=found.end))


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
def answer(key: str) -> str:
    """May it stay in, what to hold, what the neighbours carry, what to fetch or to make."""
    entry = state().index.get(key)
    if entry is None or entry.kind != "damaged":
        abort(404, _("answer"))
    view = answer_view(site().book.site, state(), entry, site().clock())
    return render_template("damage/answer.html", view=view, entry=entry, done=done(), here="part")


def _form(found: Found, said: DamageForm, refusal: Refusal | None = None) -> str:
    part = found.part
    return render_template("damage/damage.html", part=part, said=said, choices=damages(part.kind), refusal=refusal,
                           wheres=where_choices(site().kit.frame, state(), part), here="part",
                           photos=site().photos is not None, home=place_of(state(), part.id) == part.made_for,
                           place=request.values.get("place", ""))
