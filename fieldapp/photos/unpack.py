"""Reads QR symbols in a photo, and makes a small bare JPEG of it: pure functions of the bytes that a phone sent.

Symbols are looked for in several passes, cheapest first, until one finds something. The order of passes was chosen by
trying them on synthetic 12-megapixel phone photos.
"""

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Literal

import zxingcpp
from PIL import Image, ImageFilter, ImageOps, ImageStat, UnidentifiedImageError

from fieldapp.photos.limits import FORMATS, MAX_PHOTO_BYTES, most_pixels

DRAFT_ABOVE_PX = 2400
BLUR_PX = 1.5
LONGEST_PX = 1600
QUALITY = 80

Problem = Literal["empty", "not an image", "heic", "too many pixels", "broken", "busy", "dark", "bright", "blurred",
                  "no symbol"]

_FAULTS = (OSError, ValueError, SyntaxError, EOFError, MemoryError, Image.DecompressionBombError)
"""What the image library raises for a file that is cut off or crafted."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a photo held: the texts of its symbols, or why there are none."""

    texts: tuple[str, ...] = ()
    problem: Problem | None = None


def symbols_in(data: bytes) -> Reading:
    """Texts of all QR symbols in an image file, left to right; never raises for bad data."""
    problem = refused_unopened(data)
    if problem:
        return Reading(problem=problem)
    try:
        for grey in _passes(data):
            if texts := _texts(grey):
                return Reading(texts)
        return Reading(problem=_likely_cause(grey))
    except _FAULTS:
        return Reading(problem="broken")


def reencoded(data: bytes) -> bytes | Problem:
    """The picture as a JPEG of ours, at most 1600 pixels long, without any metadata; or what is wrong with it."""
    problem = refused_unopened(data)
    if problem:
        return problem
    try:
        return _jpeg(data)
    except _FAULTS:
        return "broken"


def refused_unopened(data: bytes) -> Problem | None:
    """What is wrong with an image file as far as its head tells, before anything is unpacked."""
    if not data:
        return "empty"
    if is_heic(data):
        return "heic"
    try:
        with _opened(data) as image:
            few = image.width * image.height <= most_pixels(image.format or "")
        return None if few and len(data) <= MAX_PHOTO_BYTES else "too many pixels"
    except Image.DecompressionBombError:
        return "too many pixels"
    except UnidentifiedImageError:
        return "not an image"
    except _FAULTS:
        return "broken"


def is_heic(data: bytes) -> bool:
    """True for the format that some phones keep photos in and that is not read here."""
    return data[4:8] == b"ftyp" and data[8:12] in (b"heic", b"heix", b"mif1", b"hevc", b"heim", b"msf1")


def _opened(data: bytes) -> Image.Image:
    """The image file, not unpacked yet."""
    with warnings.catch_warnings():     # the limit of pixels is ours, and lower than what would fill the memory
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        return Image.open(BytesIO(data), formats=FORMATS)


def _passes(data: bytes) -> Iterator[Image.Image]:
    """The same photo in grey: half size, full, blurred, two thirds. One at a time is held."""
    width, height = _opened(data).size
    if max(width, height) > DRAFT_ABOVE_PX:
        yield _grey(data, (width // 2, height // 2))
    full = _grey(data, (width, height))
    yield full
    yield full.filter(ImageFilter.GaussianBlur(BLUR_PX))
    yield full.resize((max(1, width * 2 // 3), max(1, height * 2 // 3)), Image.Resampling.BILINEAR)


def _grey(data: bytes, size: tuple[int, int]) -> Image.Image:
    with _opened(data) as image:
        image.draft("L", size)      # JPEG unpacks straight to grey of about this size; others ignore it
        return image.convert("L")


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


def _jpeg(data: bytes) -> bytes:
    with _opened(data) as image:
        image.draft("RGB", (LONGEST_PX, LONGEST_PX))        # JPEG unpacks to about this size; others ignore it
        image.thumbnail((LONGEST_PX, LONGEST_PX))           # in place, so that few copies of a large picture are held
        upright = ImageOps.exif_transpose(image).convert("RGB")
    bare = Image.new("RGB", upright.size)                   # nothing of the old file's info goes along
    bare.paste(upright)
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
