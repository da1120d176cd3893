"""Reading the symbols in a photo, apart from the pages (`fieldapp.photos`), and the words for what went wrong."""

from typing import IO

from fieldapp.photos.apart import UNPACKERS
from fieldapp.photos.limits import MAX_JPEG_PIXELS, MAX_OTHER_PIXELS, MAX_PHOTO_BYTES
from fieldapp.photos.unpack import Problem, Reading
from fieldapp.web.common.i18n import _

MILLION = 1_000_000


def read_photo(photo: IO[bytes] | None) -> Reading:
    """Texts of all QR symbols in an image file, left to right; never raises for bad data.

    Parameters
    ----------
    photo : binary stream, optional
        A JPEG, PNG or WebP as the phone sent it.
    """
    return UNPACKERS.symbols(photo) if photo is not None else Reading(problem="empty")


def photo_words(problem: Problem, *, typing: bool = True) -> tuple[str, str]:
    """What went wrong, and what to do next."""
    found = {
        "empty": (_("No photo arrived."), _("Press the photo button, take the picture, then send it.")),
        "not an image": (_("That file is no picture that can be read here."), _("Send a photo (JPEG, PNG or WebP).")),
        "heic": (_("This phone sent a HEIC picture, which cannot be read here."),
                 _("Set the camera to “most compatible” (JPEG), or send a screenshot of the photo.")),
        "too many pixels": (_("The picture has too many pixels: a JPEG may have {jpeg} million, a PNG or WebP {other} "
                              "million.").format(jpeg=MAX_JPEG_PIXELS // MILLION, other=MAX_OTHER_PIXELS // MILLION),
                            _("Set the camera to a smaller size and take it again.")),
        "broken": (_("The picture arrived incomplete or damaged."),
                   _("Send it again, nearer to the Wi-Fi if you can.")),
        "busy": (_("Too many photos arrive at once."), _("Wait a few seconds and send it again.")),
        "dark": (_("The photo is too dark to find a label."), _("Use the flash, or turn the label to the light.")),
        "bright": (_("The photo is too bright to find a label."),
                   _("Shade the label with your body, tilt it a little.")),
        "blurred": (_("The photo is too blurred to read."),
                    _("Wipe the lens, hold still, one hand's breadth further away.")),
        "no symbol": (_("No label was found in the photo."),
                      _("Fill half the picture with the square symbol, straight on; wipe dirt and drops off it.")),
    }
    what, then = found[problem]
    or_type = _("Or type the ID: it stands in big letters on the label.")
    return what, f"{then} {or_type}" if typing else then


def too_large_words() -> tuple[str, str]:
    """The upload was refused for its size."""
    return (_("The photo is larger than {n} MB.").format(n=MAX_PHOTO_BYTES // (1024 * 1024)),
            _("Set the camera to a smaller size and take it again, or type the ID."))
