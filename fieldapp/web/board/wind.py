"""A gust that was read at the frame is written down; beyond what stands now bears, all open pages say so."""

import math

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.errors import RaisebookError
from fieldapp.base.numbers import decimal
from fieldapp.base.units import KM_H_PER_M_S
from fieldapp.log.kinds_alarm import FASTEST_M_S
from fieldapp.reports.standing import standing
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, state, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, number_of
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.writing import wish, write_down
from fieldapp.web.raising.stage_now import wind_lines
from fieldapp.wording.alarm import last_reading

bp = Blueprint("wind", __name__)
PER_M_S = {"m/s": 1.0, "km/h": KM_H_PER_M_S}
"""How many of the unit that was typed in are one metre a second."""


@bp.get("/wind")
def page() -> str:
    """The last reading, what this stage bears, and a field for the next."""
    return _page()


@bp.post("/wind")
def write() -> Response | tuple[str, int]:
    """Keep it; a number that no wind has is asked for again, with what was typed."""
    typed, unit = tidy(request.form.get("gust", ""), 12), request.form.get("unit", "m/s")
    gust_m_s = gust_of(typed, unit)
    if gust_m_s is None:
        words = _("A gust is a number from 0 to {most} m/s ({fast} km/h); “{typed}” is none. Read it again.").format(
            most=round(FASTEST_M_S), fast=round(FASTEST_M_S * KM_H_PER_M_S), typed=typed)
        return _page(words, typed), 422
    words = tidy(request.form.get("words", ""), MAX_WORDS_CHARS)
    return write_down(wish("wind_read", data={"gust_m_s": gust_m_s, "words": words}), url_for("wind.page"))


def gust_of(typed: str, unit: str) -> float | None:
    """The gust as typed, in whole tenths of m/s rounded up; None if no wind is like that.

    Examples
    --------
    >>> gust_of("7,4", "m/s"), gust_of("27", "km/h"), gust_of("740", "m/s"), gust_of("-3", "m/s"), gust_of("a", "m/s")
    (7.4, 7.5, None, None, None)
    """
    value = number_of(typed)
    if value is None or unit not in PER_M_S or not 0.0 <= value / PER_M_S[unit] <= FASTEST_M_S:
        return None
    return math.ceil(value / PER_M_S[unit] * 10.0 - 1e-9) / 10.0


def _page(problem: str = "", typed: str = "") -> str:
    here, now = site(), state()
    try:
        bears = wind_lines(standing(here.book.site, now), here.book.site, now)
    except RaisebookError as error:
        bears = (str(error.message),)
    read = in_words(last_reading(now.wind_read, here.clock())) if now.wind_read else ""
    return render_template("board/wind.html", here="wind", done=done(), problem=problem, typed=typed, bears=bears,
                           read=read, example=decimal(7.4, 1), units=tuple(PER_M_S))
