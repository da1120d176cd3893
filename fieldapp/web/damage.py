"""Writing down damage: what broke, at which arm or end, in whose words."""

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.damage import damage_named, damages
from fieldapp.log.entry import Request
from fieldapp.web.context import site, state, who
from fieldapp.web.entries import write_down
from fieldapp.web.forms import checked_key, damage_form
from fieldapp.web.lookup import find_part
from fieldapp.web.phone import sender
from fieldapp.web.where_choices import where_choices

bp = Blueprint("damage", __name__)


@bp.get("/damage/<text>")
def page(text: str) -> str:
    """Choices for this kind of part."""
    found = find_part(text)
    return render_template("damage.html", part=found.part, end=found.end, choices=damages(found.part.kind),
                           wheres=where_choices(site().kit.frame, state(), found.part), here="part")


@bp.post("/damage/<text>")
def write(text: str) -> Response | tuple[str, int]:
    """Write it down, or say what is missing."""
    part = find_part(text).part
    said = damage_form(request.form)
    choice = damage_named(part.kind, said.what)
    wish = Request(key=checked_key(request.form.get("key")), kind="damaged", part=part.id, who=who(), sender=sender(),
                   data=said.data(choice.where if choice else ""))
    return write_down(wish, url_for("part.page", text=part.id))
