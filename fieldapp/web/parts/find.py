"""Finding a part: typing its ID, a photo of its label, or the open camera, where the browser allows it (HTTPS)."""

import re

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.web.common.addresses import HTTPS_OPEN
from fieldapp.web.common.context import site
from fieldapp.web.common.inspecting import inspects, part_address, seen_how
from fieldapp.web.common.lookup import UnknownPartError, find_part, foreign_words, look_up
from fieldapp.web.common.page import part_choice
from fieldapp.web.photos.reading import photo_words, read_photo

bp = Blueprint("find", __name__)
live = Blueprint("live", __name__)

_RING = re.compile(r"/ring/([0-9]{1,3})/?$", re.IGNORECASE)
_SITE = re.compile(r"https?://[^/]+/?", re.IGNORECASE)


@bp.get("/find")
def page() -> str | AnyResponse:
    """A field to type into and a button to take a photo; what was typed leads on to the part."""
    text = request.args.get("q", "").strip()
    if not text:
        return render_template("parts/find.html", here="find")
    return redirect(part_url(text), 303)


@bp.get("/photo")
def photo_again() -> AnyResponse:
    """A phone that reopens the tab of a photo that could not be read."""
    return redirect(url_for("find.page"), 303)


@bp.post("/photo")
def photo() -> tuple[str, int] | AnyResponse:
    """Read the symbols of a photo: one leads to its part, several are offered, none is explained."""
    upload = request.files.get("photo")
    reading = read_photo(upload.stream if upload else None, site().kit)
    if reading.problem:
        return render_template("parts/find.html", here="find", problem=photo_words(reading.problem)), 422
    known, foreign = [text for text in reading.texts if look_up(text).found], foreign_words(reading.texts)
    if not known or (len(known) == 1 and not foreign):
        return redirect(part_url((known or reading.texts)[0]), 303)
    choices = [part_choice(part_url(text)) for text in known]
    return render_template("parts/choose.html", here="find", choices=choices, foreign=foreign), 200


def part_url(text: str) -> str:
    """The page of the part that was typed or read, or its list on a phone that inspects; UnknownPartError if none.

    Labels of bags, bundles and boxes name the page of a ring, or the site alone.
    """
    if ring := _RING.search(text):
        return url_for("place.ring", number=int(ring[1]))
    if _SITE.fullmatch(text):
        return url_for("start.page")
    found = find_part(text)
    if inspects():
        return part_address(f"{found.part.id}.{found.end}" if found.end else found.part.id, seen_how(text))
    part_id = found.part.id.rpartition("-")[0] if found.remark else found.part.id    # the remark is said on the page
    return url_for("part.scanned" if seen_how(text) == "scanned" else "part.page",
                   text=f"{part_id}.{found.end}" if found.end else part_id)


@live.get("/live", endpoint="page")
def camera() -> str:
    """The camera's picture, or why there is none and what to do."""
    return render_template("parts/live.html", here="find")


@live.post("/live", endpoint="frame")
def camera_frame() -> Response:
    """One picture of the camera, as a JPEG body: the page of the part it shows, or nothing."""
    reading = read_photo(request.stream, site().kit)
    said: dict[str, str] = {}
    for text in reading.texts:
        try:
            return jsonify({"url": part_url(text)})
        except UnknownPartError as error:
            said = {"message": str(error)}
    return jsonify(said)


@live.app_context_processor
def _where() -> dict[str, object]:
    return {"secure_address": current_app.config.get(HTTPS_OPEN)}
