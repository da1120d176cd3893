"""Who is at this phone, and whether it shows day or night colours. Kept in cookies, asked once."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from fieldapp.web.common.context import MAX_WHO_CHARS, TEAM_COOKIE, THEME_COOKIE, THEMES, WHO_COOKIE, site, team, tidy
from fieldapp.web.common.phone import keep_cookie

bp = Blueprint("me", __name__)


@bp.get("/me")
def page() -> str:
    """A short role name, the team and the colours."""
    return render_template("phone/me.html", themes=THEMES, teams=site().kit.design.crew.teams, team=team(), here="me")


@bp.post("/me")
def save() -> Response:
    """Keep them in this phone."""
    answer = make_response(redirect(url_for("start.page"), 303))
    theme = request.form.get("theme", "")
    keep_cookie(answer, WHO_COOKIE, tidy(request.form.get("who", ""), MAX_WHO_CHARS))
    keep_cookie(answer, TEAM_COOKIE, tidy(request.form.get("team", ""), 2))
    keep_cookie(answer, THEME_COOKIE, theme if theme in THEMES else "auto")
    return answer
