"""The pocket copy from the laptop: in the phone's language, with the parts as they are exchanged by now."""

import base64
import hashlib
from functools import lru_cache

from flask import Blueprint, Response, request

from fieldapp.base.remembered import remembered
from fieldapp.kit import with_parts
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints.pocket import inline, pocket_page
from fieldapp.web.common.context import language, site, state

bp = Blueprint("pocket", __name__)


@bp.get("/pocket")
def page() -> Response:
    """To keep open in a tab; with `?save=yes` to be saved as a file."""
    at, made = site(), state().made
    given_out = tuple(sorted(state().allocation.items()))
    answer = Response(_copy(with_parts(at.kit, made.values()), at.plan, given_out, language()), mimetype="text/html")
    answer.headers["Content-Security-Policy"] = policy()
    if request.args.get("save"):
        name = at.kit.design.frame.prefix
        answer.headers["Content-Disposition"] = f'attachment; filename="{name}-pocket.html"'
    return answer


@remembered(5, by=lambda kit, plan, given_out, language: (kit.design, kit.parts, plan, given_out, language))
def _copy(kit: Kit, plan: Plan, given_out: tuple[tuple[str, str], ...], language: str) -> bytes:
    """One for each language, however much is fitted; most of a megabyte at 61 hubs, so every phone gets the same one.
    """
    return pocket_page(kit, plan, dict(given_out), language=language).encode()


@lru_cache
def policy() -> str:
    """Nothing but what stands in the page itself, named by its hash."""
    style, script = (_hash(inline(*names)) for names in (("pocket.css", "drawings.css"), ("pocket.js",)))
    return (f"default-src 'none'; img-src data:; style-src '{style}'; script-src '{script}'; base-uri 'none'; "
            f"form-action 'none'; frame-ancestors 'none'")


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"
