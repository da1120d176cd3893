"""The language of a phone's pages: the phone's own, or the one chosen here."""

from flask import Blueprint, Response, make_response, redirect, request, url_for

from fieldapp.web.common.context import LANGUAGE_COOKIE
from fieldapp.web.common.i18n import LANGUAGE_NAMES, languages
from fieldapp.web.common.phone import keep_cookie

bp = Blueprint("language", __name__)


@bp.post("/language")
def choose() -> Response:
    """Keep the choice in this phone; an empty one means as the phone is set."""
    code = request.form.get("language", "")
    answer = make_response(redirect(url_for("me.page"), 303))
    if code in languages():
        keep_cookie(answer, LANGUAGE_COOKIE, code)
    else:
        answer.delete_cookie(LANGUAGE_COOKIE)
    return answer


@bp.app_context_processor
def _offered() -> dict[str, object]:
    return {"languages": [(code, LANGUAGE_NAMES[code]) for code in languages()],
            "language_chosen": request.cookies.get(LANGUAGE_COOKIE, "")}
