"""Writing down damage: what broke, at which arm or end, in whose words."""

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.damage import damage_named, damages
from fieldapp.log.entry import Refusal, Request
from fieldapp.web.context import site, state, who
from fieldapp.web.forms import DamageForm, checked_key, damage_form
from fieldapp.web.lookup import Found, find_part
from fieldapp.web.phone import sender
from fieldapp.web.where_choices import where_choices

bp = Blueprint("damage", __name__)


@bp.get("/damage/<text>")
def page(text: str) -> str:
    """Choices for this kind of part; the end that the label said is chosen already."""
    found = find_part(text)
    return _form(found, DamageForm(where=found.end))


@bp.post("/damage/<text>")
def write(text: str) -> Response | tuple[str, int]:
    """Write it down, or ask for what is missing with all that was said still there."""
    found = find_part(text)
    part, said = found.part, damage_form(request.form)
    choice = damage_named(part.kind, said.what)
    answer = site().book.submit(
        Request(key=checked_key(request.form.get("key")), kind="damaged", part=part.id, who=who(), sender=sender(),
                data=said.data(choice.where if choice else "")), site().clock())
    if isinstance(answer, Refusal):
        return _form(found, said, answer), 409
    return redirect(url_for("part.page", text=part.id, done=answer.key), 303)


def _form(found: Found, said: DamageForm, refusal: Refusal | None = None) -> str:
    part = found.part
    return render_template("damage.html", part=part, said=said, choices=damages(part.kind), refusal=refusal,
                           wheres=where_choices(site().kit.frame, state(), part), here="part")
