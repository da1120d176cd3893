"""A code or a mark that a part carries from elsewhere: read by a photo or typed, kept once; then it opens the part."""

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.log.codes import parts_with_code
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, state, tidy
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.writing import wish, write_down
from fieldapp.web.photos.reading import photo_words, read_photo

bp = Blueprint("codes", __name__)

MOST_CHARS = 300
"""Of a code (in no formula)."""


@bp.get("/code/<text>")
def page(text: str) -> str:
    """Codes that it keeps, and the two ways to keep one more."""
    return _page(text)


@bp.post("/code/<text>/photo")
def photo(text: str) -> str | tuple[str, int]:
    """Read the symbols on it: what they say is shown, and kept by a press."""
    upload = request.files.get("photo")
    reading = read_photo(upload.stream if upload else None, site().kit)
    if reading.problem:
        return _page(text, problem=photo_words(reading.problem)), 422
    return _page(text, read=reading.texts)


@bp.post("/code/<text>")
def keep(text: str) -> str | AnyResponse | tuple[str, int]:
    """Keep it; where another part keeps it, ask first."""
    part, code = find_part(text).part, tidy(request.form.get("code", ""), MOST_CHARS)
    others = [each for each in parts_with_code(state(), code) if each != part.id]
    read = "photo" if request.form.get("read") == "photo" else "typed"
    again = tidy(request.form.get("again", ""), MOST_CHARS)
    if others and request.form.get("others") != "yes":
        return render_template("parts/same_code.html", part=part, others=others, code=code, again=again, read=read,
                               here="part"), 409
    data = {"code": code, "again": again, "read": read, "others": bool(others)}
    return write_down(wish("code_kept", part.id, data=data), url_for("codes.page", text=part.id))


def _page(text: str, *, read: tuple[str, ...] = (), problem: tuple[str, str] | None = None) -> str:
    part = find_part(text).part
    return render_template("parts/code.html", part=part, codes=state().parts[part.id].codes, read=read,
                           problem=problem, done=done(), here="part")
