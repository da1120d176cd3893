"""Live scanning: the camera stays open and reads every label it sees, where the browser allows it (HTTPS)."""

from flask import Blueprint, Response, current_app, jsonify, render_template, request

from fieldapp.web.common.lookup import UnknownPartError
from fieldapp.web.parts.find import part_url
from fieldapp.web.photos.photo import MAX_PHOTO_BYTES, read_photo

bp = Blueprint("live", __name__)

HTTPS_OPEN = "HTTPS_OPEN"
"""Configuration: the HTTPS address of this laptop, if it has one."""


@bp.get("/live")
def page() -> str:
    """The camera's picture, or why there is none and what to do."""
    return render_template("parts/live.html", here="find")


@bp.post("/live")
def frame() -> Response:
    """One picture of the camera, as a JPEG body: the page of the part it shows, or nothing."""
    reading = read_photo(request.stream.read(MAX_PHOTO_BYTES + 1))
    said: dict[str, str] = {}
    for text in reading.texts:
        try:
            return jsonify({"url": part_url(text)})
        except UnknownPartError as error:
            said = {"message": str(error)}
    return jsonify(said)


@bp.app_context_processor
def _where() -> dict[str, object]:
    return {"secure_address": current_app.config.get(HTTPS_OPEN)}
