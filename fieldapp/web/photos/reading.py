"""Reads QR symbols in a photo: several passes, cheapest first, until one finds something.

The order of passes was chosen by trying them on synthetic 12-megapixel phone photos.
"""

import threading
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Literal

import zxingcpp
from PIL import Image, ImageFilter, ImageStat, UnidentifiedImageError

from fieldapp.web.common.i18n import _

MAX_PHOTO_BYTES = 12 * 1024 * 1024
MAX_PHOTO_PIXELS = 60_000_000
"""Above today's 50-megapixel phones; a larger picture is refused before it is unpacked."""
DRAFT_ABOVE_PX = 2400
BLUR_PX = 1.5
DECODES_AT_A_TIME = 2
WAITING = 2
"""Further photos are answered "busy" at once, so that threads stay free for pages."""

Problem = Literal["empty", "not an image", "heic", "too many pixels", "broken", "busy", "dark", "bright", "blurred",
                  "no symbol"]

_waiting_room = threading.BoundedSemaphore(DECODES_AT_A_TIME + WAITING)
_slots = threading.BoundedSemaphore(DECODES_AT_A_TIME)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a photo held: the texts of its symbols, or why there are none."""

    texts: tuple[str, ...] = ()
    problem: Problem | None = None


def read_photo(data: bytes) -> Reading:
    """Texts of all QR symbols in an image file, left to right; never raises for bad data.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG, WebP or other image file as the phone sent it.
    """
    if not data:
        return Reading(problem="empty")
    if is_heic(data):
        return Reading(problem="heic")
    if not _waiting_room.acquire(blocking=False):
        return Reading(problem="busy")
    try:
        with _slots:
            return _read(data)
    finally:
        _waiting_room.release()


def is_heic(data: bytes) -> bool:
    """True for the format that some phones keep photos in and that is not read here."""
    return data[4:8] == b"ftyp" and data[8:12] in (b"heic", b"heix", b"mif1", b"hevc", b"heim", b"msf1")


def _read(data: bytes) -> Reading:
    try:
        if pixels_of(data) > MAX_PHOTO_PIXELS:
            return Reading(problem="too many pixels")
        for grey in _passes(data):
            if texts := _texts(grey):
                return Reading(texts)
        return Reading(problem=_likely_cause(grey))
    except UnidentifiedImageError:
        return Reading(problem="not an image")
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError, Image.DecompressionBombError):
        return Reading(problem="broken")


def open_image(data: bytes) -> Image.Image:
    """The image file, not unpacked yet; to be asked for its pixels first."""
    with warnings.catch_warnings():     # the pixel limit above is ours, and lower than what would fill the memory
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        return Image.open(BytesIO(data))


def pixels_of(data: bytes) -> int:
    """Width times height, read without unpacking; above the limit for what would fill the memory."""
    try:
        with open_image(data) as image:
            return image.width * image.height
    except Image.DecompressionBombError:
        return MAX_PHOTO_PIXELS + 1


def _passes(data: bytes) -> Iterator[Image.Image]:
    """The same photo in grey: half size, full, blurred, two thirds."""
    image = open_image(data)
    width, height = image.size
    if max(width, height) > DRAFT_ABOVE_PX:
        half = open_image(data)
        half.draft("L", (width // 2, height // 2))      # JPEG unpacks straight to this size; others ignore it
        yield half.convert("L")
    full = image.convert("L")
    yield full
    yield full.filter(ImageFilter.GaussianBlur(BLUR_PX))
    yield full.resize((max(1, width * 2 // 3), max(1, height * 2 // 3)), Image.Resampling.BILINEAR)


def _texts(grey: Image.Image) -> tuple[str, ...]:
    only = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)    # a lasting one is complained of at exit
    found = zxingcpp.read_barcodes(grey, formats=only, try_invert=False)
    # asked for QR, the decoder also answers Micro QR, which it sees in one corner of a soiled symbol: a wrong text
    whole = (b for b in found if b.valid and b.text and b.format == zxingcpp.BarcodeFormat.QRCode)
    ordered = sorted(whole, key=lambda b: (b.position.top_left.x, b.text))
    return tuple(dict.fromkeys(b.text for b in ordered))


def _likely_cause(grey: Image.Image) -> Problem:
    """Guess from the grey values why nothing was found; thresholds are ours, by trying."""
    small = grey.copy()
    small.thumbnail((600, 600))
    mean = ImageStat.Stat(small).mean[0]
    if mean < 45:
        return "dark"
    if mean > 235:
        return "bright"
    edges = ImageStat.Stat(small.filter(ImageFilter.FIND_EDGES)).stddev[0]
    return "blurred" if edges < 12 else "no symbol"


def photo_words(problem: Problem, *, typing: bool = True) -> tuple[str, str]:
    """What went wrong, and what to do next."""
    found = {
        "empty": (_("No photo arrived."), _("Press the photo button, take the picture, then send it.")),
        "not an image": (_("That file is no picture that can be read here."), _("Send a photo (JPEG, PNG or WebP).")),
        "heic": (_("This phone sent a HEIC picture, which cannot be read here."),
                 _("Set the camera to “most compatible” (JPEG), or send a screenshot of the photo.")),
        "too many pixels": (_("The picture has more than {n} million pixels.").format(n=MAX_PHOTO_PIXELS // 1_000_000),
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
