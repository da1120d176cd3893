"""The photo of a form, if one was sent: kept, or refused with words."""

from pathlib import Path

from flask import request

from fieldapp.base.errors import KitError
from fieldapp.log.entry import Refusal
from fieldapp.web.common.i18n import _
from fieldapp.web.photos.photo import MAX_PHOTO_BYTES
from fieldapp.web.photos.photo_store import keep_photo
from fieldapp.web.photos.words_photo import photo_words


def sent_photo(folder: Path | None) -> tuple[str, Refusal | None]:
    """Digest of the photo that came with this form; "" if none did. A refusal if it cannot be kept."""
    upload = request.files.get("photo")
    data = upload.stream.read(MAX_PHOTO_BYTES + 1) if upload and folder else b""
    if not data or folder is None:
        return "", None
    without = _("Or send it without a photo: nothing else of this was lost.")
    try:
        digest, problem = keep_photo(data, folder)
    except KitError as error:
        return "", Refusal(str(error), without, "photo")
    if problem:
        what, then = photo_words(problem, typing=False)
        return "", Refusal(what, f"{then} {without}", "photo")
    return digest, None
