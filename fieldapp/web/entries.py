"""Writing something down: every form ends here, and every answer is a redirect or a refusal with words."""

from dataclasses import replace

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.entry import Refusal, Request
from fieldapp.web.context import site, standing, state, who
from fieldapp.web.entry_view import Done, done_view
from fieldapp.web.forms import checked_key
from fieldapp.web.lookup import find_part
from fieldapp.web.phone import reader, sender
from fieldapp.web.status import place_of

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
    wish = Request(key=checked_key(request.form.get("key")), kind=kind, part=part.id, who=who(), sender=sender())
    if kind == "fitted":
        place = request.form.get("place") or place_of(state(), part.id)
        wish = replace(wish, place=place, data={"exchange": request.form.get("exchange") == "yes"})
    return write_down(wish, url_for("part.page", text=part.id))


@bp.get("/P/<text>/<act>")
def again(text: str, act: str) -> Response:
    """A phone that reopens the tab of a refusal: back to the part."""
    return redirect(url_for("part.page", text=text), 303)


def write_down(wish: Request, back: str) -> Response | tuple[str, int]:
    """Submit to the log, then go to `back` and say what was written; or say why not, with status 409."""
    answer = site().book.submit(wish, site().clock())
    if isinstance(answer, Refusal):
        return render_template("refused.html", refusal=answer, back=back, here=""), 409
    return redirect(f"{back}?done={answer.key}", 303)


def done() -> Done | None:
    """The entry that `?done=` names, to be read back to the person who made it, and what comes next."""
    entry = state().index.get(request.args.get("done", ""))
    if entry is None or entry.key in state().withdrawn:
        return None
    return done_view(standing(), entry, reader())
