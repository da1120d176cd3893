"""Joining: the join code, scanned from the poster or typed, lets a phone write. Whoever joined can pass it on.

A scanned code is only shown with a button: what looks at addresses without being told to (a preview, a page of
another site) joins nobody.
"""

import re
from urllib.parse import urlsplit

from flask import Blueprint, current_app, make_response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from fieldapp.frame.site import SiteSection
from fieldapp.kit.site_key import address_text, wifi_text
from fieldapp.web.common.addresses import PHONES_OPEN
from fieldapp.web.common.context import site, team, team_numbers
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import asker, grant, may_write, opens, rights, take_away
from labels.symbol import QUIET_ZONE, dark_runs, make_symbol

bp = Blueprint("join", __name__)


@bp.get("/join")
def page() -> str:
    """Both squares for those who may write, a field for the code for the others."""
    return join_page()


@bp.post("/join")
def enter() -> Response | tuple[str, int]:
    """The code, typed or scanned: a phone that sends it may write from now on."""
    return _try(request.form.get("code", ""))


@bp.get("/join/<code>")
@bp.get("/JOIN/<code>", endpoint="scanned")
def scanned(code: str) -> Response | str:
    """The scanned code, to be sent by a press."""
    if may_write():
        return redirect(url_for("join.joined"), 303)
    return render_template("phone/join.html", here="", scanned=tidy_code(code), site=site().kit.design.site)


@bp.post("/leave")
def leave() -> Response:
    """This phone may only read from now on."""
    answer = take_away(make_response(redirect(url_for("start.page"), 303)), "write")
    return take_away(take_away(answer, "chief"), "laptop")


@bp.get("/joined")
def joined() -> str:
    """Welcome, and who are you?"""
    return render_template("phone/joined.html", here="", back=_own_path(request.args.get("back", "")),
                           teams=team_numbers(), team=team())


def join_page(problem: str = "", *, back: str = "") -> str:
    """The page with the code's field, or with both squares if this phone may write."""
    shown = site().kit.design.site
    address = join_address(shown)
    squares = may_write()
    return render_template("phone/join.html", here="", problem=problem, back=_own_path(back), site=shown,
                           to_type=f"{address.rpartition('/JOIN/')[0].lower()}/join",
                           code=rights().key.join_code if squares else "",
                           wifi=symbol_svg(wifi_text(shown), _("Square for the Wi-Fi")) if squares else "",
                           open_page=symbol_svg(address, _("Square that opens the page")) if squares else "")


def not_joined() -> tuple[str, int]:
    """For a phone that pressed a button and may not: how to join, and then back to the page of the button."""
    return join_page(back=urlsplit(request.referrer or "").path), 403


def join_address(shown: SiteSection) -> str:
    """What the square says, in the letters that all camera apps take: it opens the page and joins."""
    at = shown.model_copy(update={"address": current_app.config.get(PHONES_OPEN) or shown.address})
    return address_text(at, rights().key.join_code)


def _try(given: str) -> Response | tuple[str, int]:
    problem = code_trouble(given)
    if problem is not None:
        return join_page(problem[0]), problem[1]
    back = _own_path(request.form.get("back", ""))
    return grant(make_response(redirect(url_for("join.joined", back=back or None), 303)), "write")


def code_trouble(given: str) -> tuple[str, int] | None:
    """Why a code that was typed or scanned lets nobody join, and the status; None if it does."""
    held, whose = rights(), asker()
    if not held.tries.begin(whose):
        return _("Too many wrong codes. Wait a minute, then try again."), 429
    code = tidy_code(given)
    if not opens(code):
        return _("'{code}' is not the join code. It stands on the join poster and on the laptop's "
                 "page Join: six letters and figures.").format(code=code[:16]), 403
    held.tries.right(whose)
    return None


def tidy_code(given: str) -> str:
    """Capitals and figures alone."""
    return re.sub(r"[^A-Z0-9]", "", given.upper()[:40])


def _own_path(text: str) -> str:
    """A path of this site to go back to, or nothing."""
    return text if re.fullmatch(r"/(?![/\\])[A-Za-z0-9/_.-]{0,80}", text) else ""


def symbol_svg(text: str, title: str) -> Markup:
    """A QR symbol as inline SVG, dark on white in every theme; empty for an empty text."""
    if not text:
        return Markup("")
    symbol = make_symbol(text, "M")
    path = "".join(f"M{x + QUIET_ZONE} {y + QUIET_ZONE}h{n}v1h-{n}z" for y, x, n in dark_runs(symbol))
    return Markup('<svg class="qr" role="img" viewBox="0 0 {0} {0}" shape-rendering="crispEdges"><title>{1}</title>'
                  '<path d="{2}"/></svg>').format(symbol.full_size, title, path)
