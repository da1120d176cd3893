"""Photos of damage: unpacked with care, turned upright, made small, stripped of all that they say of the phone."""

import errno
import hashlib
import re
from pathlib import Path
from typing import IO

from flask import Blueprint, Response, abort, redirect, request, send_from_directory, url_for
from werkzeug.wrappers import Response as AnyResponse

from fieldapp.base.errors import Fault, KitError, StoreError
from fieldapp.kit.atomic import write_atomic
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal
from fieldapp.photos.apart import UNPACKERS
from fieldapp.photos.unpack import Problem
from fieldapp.web.common.context import YEAR_S, site
from fieldapp.web.common.i18n import _
from fieldapp.web.common.rights import may_write
from fieldapp.web.photos.reading import photo_words

bp = Blueprint("photos", __name__)

DIGEST = re.compile(r"^[0-9a-f]{64}$", re.ASCII)


@bp.get("/photos/<digest>.jpg")
def picture(digest: str) -> AnyResponse:
    """One photo, for phones that joined: faces may be on it. It never changes, since its name is its digest."""
    if not may_write():
        return redirect(url_for("join.page"), 303)
    folder = site().photos
    if folder is None or not DIGEST.match(digest):
        abort(404, _("photo"))
    if (folder / f"{digest}.jpg").is_file():
        answer = send_from_directory(folder.absolute(), f"{digest}.jpg", mimetype="image/jpeg", max_age=YEAR_S)
    else:
        answer = _of_all_laptops(digest)
    answer.headers["Cache-Control"] = f"private, max-age={YEAR_S}, immutable"
    return answer


def _of_all_laptops(digest: str) -> Response:
    content = site().book.photo(digest)
    if content is None:
        abort(404, _("photo"))
    return Response(content, mimetype="image/jpeg")


def sent_photo(folder: Path | None) -> tuple[str, Refusal | None]:
    """Digest of the photo that came with this form; "" if none did. A refusal if it cannot be kept."""
    upload = request.files.get("photo")
    if upload is None or folder is None or not upload.stream.read(1):
        return "", None
    upload.stream.seek(0)
    without = _("Or send it without a photo: nothing else of this was lost.")
    try:
        digest, problem = keep_photo(upload.stream, folder, site().book)
    except KitError as error:
        return "", Refusal(str(error), without, "photo")
    if problem:
        what, then = photo_words(problem, typing=False)
        return "", Refusal(what, f"{then} {without}", "photo")
    return digest, None


def keep_photo(photo: IO[bytes], folder: Path, book: SiteBook) -> tuple[str, Problem | None]:
    """Re-encode a photo and keep it under the digest of what is kept, in the folder or where all laptops see it.

    Parameters
    ----------
    photo : binary stream
        As the phone sent it; nothing of it is kept but the picture.
    folder : Path
        Beside the log; made if need be.
    book : SiteBook
        Whose log may be on a server: then photos are, too.

    Returns
    -------
    (str, Problem or None)
        SHA-256 of the JPEG that is kept, in hex, or "" and what is wrong with the photo.

    Raises
    ------
    StoreError
        If disk or server do not take it; the phone keeps it and sends it again.
    """
    kept = UNPACKERS.small_jpeg(photo)
    if not isinstance(kept, bytes):
        return "", kept
    digest = hashlib.sha256(kept).hexdigest()
    if book.keep_photo(digest, kept):
        return digest, None
    try:
        write_atomic(folder / f"{digest}.jpg", kept)
    except KitError as error:
        raise StoreError(f"a photo could not be kept: {error}", _fault(error)) from error
    return digest, None


def _fault(error: KitError) -> Fault:
    """What the system said of the disk, in the word that phones are told by."""
    number = getattr(error.__cause__, "errno", None)
    if number in (errno.ENOSPC, errno.EDQUOT):
        return "full"
    return "readonly" if number in (errno.EACCES, errno.EPERM, errno.EROFS) else "io"
