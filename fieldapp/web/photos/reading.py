"""Reading the symbols in a photo, apart from the pages (`fieldapp.photos`), and the words for what went wrong."""

import math
from typing import IO

from fieldapp.kit.kit import Kit
from fieldapp.photos.apart import UNPACKERS
from fieldapp.photos.known import KnownLabels
from fieldapp.photos.limits import MAX_JPEG_PIXELS, MAX_OTHER_PIXELS, MAX_PHOTO_BYTES
from fieldapp.photos.unpack import USUAL, Problem, Reading
from fieldapp.web.common.i18n import _
from labels.curve import module_on_tube_mm
from labels.room import LEAST_MODULE_MM

MILLION = 1_000_000
MODULES = 25
"""A side of the symbols of labels, version 2 (in no formula)."""
MOST_ARC_DEG = 120.0
"""Farther round a tube no symbol is seen whole (in no formula)."""


def read_photo(photo: IO[bytes] | None, kit: Kit | None = None) -> Reading:
    """Texts of all QR symbols in an image file, left to right; never raises for bad data.

    Parameters
    ----------
    photo : binary stream, optional
        A JPEG, PNG or WebP as the phone sent it.
    kit : Kit, optional
        Whose labels are looked for most closely.
    """
    if photo is None:
        return Reading(problem="empty")
    return UNPACKERS.symbols(photo, known_labels(kit) if kit else USUAL)


def known_labels(kit: Kit) -> KnownLabels:
    """Besides part IDs: the addresses of the site and of its rings; which arcs symbols span round its struts.

    A symbol has 25 modules a side or so, of the least size, of the usual one, or half as large again on a label for
    something flat.
    """
    address = kit.design.site.address.rstrip("/").lower()
    rings = (f"{address}/ring/{level}" for level in range(1, kit.frame.level_count + 1))
    usual_mm = {tube_mm: module_on_tube_mm(tube_mm, MODULES) or LEAST_MODULE_MM
                for tube_mm in {of.outer_mm for of in kit.struts}}
    arcs = {round(math.degrees(2 * MODULES * module / tube_mm), 1) for tube_mm, usual in usual_mm.items()
            for module in (LEAST_MODULE_MM, usual, 1.5 * usual)}
    return KnownLabels((address, f"{address}/", *rings),
                       tuple(sorted({min(max(arc, 20.0), MOST_ARC_DEG) for arc in arcs})))


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
                      _("Fill half the picture with the square symbol, straight on; wipe dirt and drops off it. In the "
                        "shade use the flash.")),
    }
    what, then = found[problem]
    or_type = _("Or type the ID: it stands in big letters on the label.")
    return what, f"{then} {or_type}" if typing else then


def too_large_words() -> tuple[str, str]:
    """The upload was refused for its size."""
    return (_("The photo is larger than {n} MB.").format(n=MAX_PHOTO_BYTES // (1024 * 1024)),
            _("Set the camera to a smaller size and take it again, or type the ID."))
