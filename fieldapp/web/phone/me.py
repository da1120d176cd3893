"""Who is at this phone, and whether it shows day or night colours. Kept in cookies, asked once."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from fieldapp.web.common.context import (
    LANGUAGE_COOKIE,
    MAX_WHO_CHARS,
    TEAM_COOKIE,
    THEME_COOKIE,
    THEMES,
    WHO_COOKIE,
    team,
    team_numbers,
    tidy,
)
from fieldapp.web.common.i18n import LANGUAGE_NAMES, languages
from fieldapp.web.common.phone import keep_cookie

bp = Blueprint("me", __name__)
language = Blueprint("language", __name__)


@bp.get("/me")
def page() -> str:
    """A short role name, the team and the colours."""
    return render_template("phone/me.html", themes=THEMES, teams=team_numbers(), team=team(), here="me")


@bp.post("/me")
def save() -> Response:
    """Keep them in this phone."""
    answer = make_response(redirect(url_for("start.page"), 303))
    theme = request.form.get("theme", "")
    keep_cookie(answer, WHO_COOKIE, tidy(request.form.get("who", ""), MAX_WHO_CHARS))
    keep_cookie(answer, TEAM_COOKIE, tidy(request.form.get("team", ""), 2))
    keep_cookie(answer, THEME_COOKIE, theme if theme in THEMES else "auto")
    return answer


@language.post("/language")
def choose() -> Response:
    """Keep the choice in this phone; an empty one means as the phone is set."""
    code = request.form.get("language", "")
    answer = make_response(redirect(url_for("me.page"), 303))
    if code in languages():
        keep_cookie(answer, LANGUAGE_COOKIE, code)
    else:
        answer.delete_cookie(LANGUAGE_COOKIE)
    return answer


@language.app_context_processor
def _offered() -> dict[str, object]:
    return {"languages": [(code, LANGUAGE_NAMES[code]) for code in languages()],
            "language_chosen": request.cookies.get(LANGUAGE_COOKIE, "")}
