"""Another part for a place: nearest first, exchanged at one press."""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.cards.entries import done
from fieldapp.web.cards.instead import instead_of
from fieldapp.web.common.context import site, state
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("other", __name__)


@bp.get("/other/<name>")
def page(name: str) -> str:
    """Which part could go to this place instead?"""
    name = _place(name)
    meant = state().fitted.get(name) or state().allocation.get(name)
    past = state().parts[meant] if meant else None
    return render_template("damage/other.html", instead=instead_of(site().book.site, state(), name, site().clock()),
                           meant=meant, past=past, done=done(), here="place")


@bp.post("/other/<name>")
def exchange(name: str) -> Response | tuple[str, int]:
    """Give the place the part that was chosen; the two places are exchanged."""
    name = _place(name)
    part = find_part(request.form.get("part", "")).part
    return write_down(wish("exchanged", part.id, name), url_for("place.page", name=name))


def _place(name: str) -> str:
    name = name.upper()
    if name not in site().kit.by_place:
        abort(404, _("place {name}").format(name=name[:16]))
    return name
