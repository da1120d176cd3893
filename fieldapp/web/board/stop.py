"""Stop building: anybody presses it, everybody says that they know, the chief lets go on."""

from urllib.parse import urlsplit

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.web.common.context import tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS
from fieldapp.web.common.i18n import _
from fieldapp.web.common.writing import wish, write_down
from fieldapp.wording.alarm import SHOUT

bp = Blueprint("stop", __name__)


@bp.get("/stop")
def page() -> str:
    """One big button; why, only if there is time."""
    return render_template("board/stop.html", here="stop", shout=_(SHOUT))


@bp.post("/stop")
def write() -> Response | tuple[str, int]:
    """Building stops."""
    words = tidy(request.form.get("words", ""), MAX_WORDS_CHARS)
    return write_down(wish("stopped", data={"words": words}), url_for("start.page"))


@bp.post("/stop/seen")
def seen() -> Response | tuple[str, int]:
    """This phone's person knows; the page where they pressed it stays."""
    return write_down(wish("stop_seen", data={"stop": tidy(request.form.get("stop", ""), 80)}), _pressed_on())


@bp.post("/stop/lift")
def lift() -> Response | tuple[str, int]:
    """The chief lets building go on."""
    return write_down(wish("stop_lifted"), url_for("board.page"))


@bp.get("/alarm")
def alarm() -> str:
    """The fragment above every page alone, for pages that are open."""
    return render_template("common/alarm.html")


@bp.get("/stop/<act>")
def again(act: str) -> str:
    """A phone that reopens the tab of a press."""
    return page()


def _pressed_on() -> str:
    """The page of the press, by what the browser says; the start page where that is none that can be shown again."""
    path = urlsplit(request.referrer or "").path
    return path if path.startswith("/") and not path.startswith(("//", "/stop", "/alarm")) else url_for("start.page")
