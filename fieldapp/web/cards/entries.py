"""Writing something down about a part: every press ends in a redirect or in a refusal with words."""

from dataclasses import replace

from flask import Blueprint, abort, redirect, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.cards.entry_view import Done, Reader, done_view
from fieldapp.web.cards.status import place_of
from fieldapp.web.common.context import site, standing, state, who
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.phone import sender
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("entries", __name__)

KINDS_OF_ACT = {"fitted": "fitted", "taken-down": "taken_down", "found": "found"}
"""The last part of the address → kind of entry."""


@bp.post("/P/<text>/<act>")
def write(text: str, act: str) -> Response | tuple[str, int]:
    """Fitted, taken down or found, at a press of a button on the part page."""
    kind = KINDS_OF_ACT.get(act)
    if kind is None:
        abort(404)
    part = find_part(text).part
    asked = wish(kind, part.id)
    if kind == "fitted":
        place = request.form.get("place") or place_of(state(), part.id)
        asked = replace(asked, place=place, data={"exchange": request.form.get("exchange") == "yes"})
    return write_down(asked, url_for("part.page", text=part.id))


@bp.get("/P/<text>/<act>")
def again(text: str, act: str) -> Response:
    """A phone that reopens the tab of a refusal: back to the part."""
    return redirect(url_for("part.page", text=text), 303)


def done() -> Done | None:
    """The entry that `?done=` names, to be read back to the person who made it, and what comes next."""
    entry = state().index.get(request.args.get("done", ""))
    if entry is None or entry.key in state().withdrawn:
        return None
    return done_view(standing(), entry, reader())


def reader() -> Reader:
    """Who looks at this page, from which phone, with which rights, now."""
    return Reader(site().clock(), who(), sender(), is_chief())
