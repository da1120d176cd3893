"""Who is at this phone, its colours and its language, kept in cookies; and the pocket copy that it takes along."""

import base64
import hashlib
import re

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from fieldapp.base.remembered import remembered
from fieldapp.kit import with_parts
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints.pocket import pocket_page
from fieldapp.prints.pocket.places import AsOf
from fieldapp.web.cards.status import part_status, place_of, place_status
from fieldapp.web.common.context import (
    LANGUAGE_COOKIE,
    MAX_WHO_CHARS,
    TEAM_COOKIE,
    THEME_COOKIE,
    THEMES,
    WHO_COOKIE,
    SiteMoment,
    keep_cookie,
    language,
    site,
    standing,
    state,
    team,
    team_numbers,
    tidy,
)
from fieldapp.web.common.i18n import LANGUAGE_NAMES, languages

bp = Blueprint("me", __name__)
choosing = Blueprint("language", __name__)
carrying = Blueprint("pocket", __name__)


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


@choosing.post("/language")
def choose() -> Response:
    """Keep the choice in this phone; an empty one means as the phone is set."""
    code = request.form.get("language", "")
    answer = make_response(redirect(url_for("me.page"), 303))
    if code in languages():
        keep_cookie(answer, LANGUAGE_COOKIE, code)
    else:
        answer.delete_cookie(LANGUAGE_COOKIE)
    return answer


@choosing.app_context_processor
def _offered() -> dict[str, object]:
    return {"languages": [(code, LANGUAGE_NAMES[code]) for code in languages()],
            "language_chosen": request.cookies.get(LANGUAGE_COOKIE, "")}


@carrying.get("/pocket", endpoint="page")
def pocket() -> Response:
    """To keep open in a tab; with `?save=yes` to be saved as a file."""
    at, made = site(), state().made
    given_out = tuple(sorted(state().allocation.items()))
    page, policy = _copy(with_parts(at.kit, made.values()), at.plan, given_out, language(), as_of(standing()))
    answer = Response(page, mimetype="text/html")
    answer.headers["Content-Security-Policy"] = policy
    if request.args.get("save"):
        name = at.kit.design.frame.prefix
        answer.headers["Content-Disposition"] = f'attachment; filename="{name}-pocket.html"'
    return answer


def as_of(at: SiteMoment) -> AsOf:
    """What all pages say at this moment, for a copy that is old as soon as it is made."""
    now = at.state
    told = {part.id: part_status(at, part, place=place_of(now, part.id)) for part in now.all_parts()}
    kept_out = {part: one.word for part, one in told.items()
                if not now.parts[part].usable or (one.shape == "stop" and now.parts[part].fitted_at is None)}
    places = {name: place_status(at, name) for name in at.plan.step_of}
    return AsOf(now.last_number, {name: f"{one.word}. {one.detail}".replace("..", ".").strip()
                                  for name, one in places.items()}, kept_out)


@remembered(5, by=lambda kit, plan, given_out, language, as_of: (
    kit.design, kit.parts, plan, given_out, language, as_of.number, *as_of.places.items(), *as_of.kept_out.items()))
def _copy(kit: Kit, plan: Plan, given_out: tuple[tuple[str, str], ...], language: str, as_of: AsOf
          ) -> tuple[bytes, str]:
    """One for each language, with its policy; most of a megabyte at 61 hubs, so every phone gets the same one."""
    page = pocket_page(kit, plan, dict(given_out), language=language, as_of=as_of)
    return page.encode(), policy(page)


def policy(page: str) -> str:
    """Nothing but what stands in the page itself, named by its hash."""
    styles, scripts = (" ".join(f"'{_hash(found)}'" for found in re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.S))
                       for tag in ("style", "script"))
    return (f"default-src 'none'; img-src data:; style-src {styles}; script-src {scripts}; base-uri 'none'; "
            f"form-action 'none'; frame-ancestors 'none'")


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"
