"""A press for the feet: pegged or weighed down, or let go."""

from flask import Blueprint, abort, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.common.context import site
from fieldapp.web.common.writing import wish, write_down

bp = Blueprint("feet", __name__)


@bp.post("/feet/held")
def held() -> Response | tuple[str, int]:
    """These feet are held now, all by one entry."""
    return write_down(wish("feet_held", data={"feet": _feet(), "how": request.form.get("how", "")}), _back())


@bp.post("/feet/freed")
def freed() -> Response | tuple[str, int]:
    """Nothing holds these feet any more."""
    return write_down(wish("feet_freed", data={"feet": _feet()}), _back())


def _feet() -> tuple[str, ...]:
    """The hubs named by the form; 404 for a form that names none."""
    feet = tuple(request.form.get("feet", "").upper().split())
    if not feet:
        abort(404)
    return feet


def _back() -> str:
    """The page of the place that the press came from, or the start page."""
    place = request.form.get("place", "").upper()
    return url_for("place.page", name=place) if place in site().kit.frame.hub_index else url_for("start.page")
