"""Photos of damage, as they were kept."""

from flask import Blueprint, Response, abort, send_from_directory

from fieldapp.web.common.context import site
from fieldapp.web.common.i18n import _
from fieldapp.web.common.phone import YEAR_S
from fieldapp.web.photos.photo_store import DIGEST

bp = Blueprint("photos", __name__)


@bp.get("/photos/<digest>.jpg")
def picture(digest: str) -> Response:
    """One photo; it never changes, since its name is its digest."""
    folder = site().photos
    if folder is None or not DIGEST.match(digest) or not (folder / f"{digest}.jpg").is_file():
        abort(404, _("photo"))
    answer = send_from_directory(folder.absolute(), f"{digest}.jpg", mimetype="image/jpeg", max_age=YEAR_S)
    answer.headers["Cache-Control"] = f"private, max-age={YEAR_S}, immutable"
    return answer
