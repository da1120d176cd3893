"""Joining the yard: once, for all its kits; and the laptop's own browser, by the address that the terminal showed."""

from flask import Blueprint, current_app, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.common.addresses import PHONES_OPEN
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import grant, is_laptop, may_write, rights, take_away
from fieldapp.web.phone.join import code_trouble, symbol_svg, tidy_code

bp = Blueprint("join", __name__)


@bp.get("/join")
def page() -> str:
    """The code and its square for those who may write, a field for the others."""
    return _page()


@bp.get("/join/<code>")
@bp.get("/JOIN/<code>", endpoint="scanned")
def scanned(code: str) -> Response | str:
    """A scanned code, to be sent by a press; the posters of single kits lead here, too."""
    return redirect(url_for("yard.page"), 303) if may_write() else _page(scanned=tidy_code(code))


@bp.post("/join")
def enter() -> Response | tuple[str, int]:
    """The code, typed or scanned: this phone may write in every kit of the yard from now on."""
    problem = code_trouble(request.form.get("code", ""))
    if problem is not None:
        return _page(problem[0]), problem[1]
    return grant(make_response(redirect(url_for("yard.page"), 303)), "write")


@bp.post("/leave")
def leave() -> Response:
    """This phone may only read from now on."""
    answer = take_away(make_response(redirect(url_for("yard.page"), 303)), "write")
    return take_away(take_away(answer, "chief"), "laptop")


@bp.get("/laptop/<secret>")
def laptop(secret: str) -> Response | tuple[str, int]:
    """Swapped once for a session of the laptop's own browser."""
    if not is_laptop():
        if request.method != "GET" or not rights().laptop.use(secret):
            return render_template("yard/message.html", title=_("This address was good once"), lines=[_(
                "It was used before, or the laptop was started again. Its terminal shows the one that is good now.")
                ]), 403
        return grant(make_response(redirect(url_for("yard.page"), 303)), "laptop")
    return redirect(url_for("yard.page"), 303)


def _page(problem: str = "", *, scanned: str = "") -> str:
    code = rights().key.join_code if may_write() else ""
    address = str(current_app.config.get(PHONES_OPEN) or request.host_url.rstrip("/"))
    scheme, _sep, host = address.rstrip("/").partition("://")
    return render_template(
        "yard/join.html", problem=problem, scanned=scanned, code=code, to_type=f"{address}/join",
        square=symbol_svg(f"{scheme}://{host.upper()}/JOIN/{code}", _("Square that opens the page")) if code else "")


def not_joined() -> tuple[str, int]:
    """For a phone that pressed a button and may not."""
    return _page(), 403
