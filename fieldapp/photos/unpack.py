"""Reads QR symbols in a photo, and makes a small bare JPEG of it: pure functions of the bytes that a phone sent.

Symbols are looked for in several passes, cheapest first, until one finds something: whole pictures here, closer looks
in `closer`.
"""

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Literal

from PIL import Image, ImageOps, UnidentifiedImageError

from fieldapp.photos.bars import bars_in
from fieldapp.photos.closer import read_closer
from fieldapp.photos.decoding import seen_in, texts_of
from fieldapp.photos.known import KnownLabels
from fieldapp.photos.light import likely_cause
from fieldapp.photos.limits import FORMATS, MAX_PHOTO_BYTES, most_pixels

DRAFT_ABOVE_PX = 2400
MOST_CLOSE = 16_000_000
"""Pixels of the largest picture that is looked at closely; larger ones are halved. Test: tests/photos."""
LONGEST_PX = 1600
QUALITY = 80

Problem = Literal["empty", "not an image", "heic", "too many pixels", "broken", "busy", "dark", "bright", "blurred",
                  "no symbol"]

USUAL = KnownLabels()
"""What is known without a kit."""
_FAULTS = (OSError, ValueError, SyntaxError, EOFError, MemoryError, Image.DecompressionBombError)
"""What the image library raises for a file that is cut off or crafted."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a photo held: the texts of its symbols, or why there are none."""

    texts: tuple[str, ...] = ()
    problem: Problem | None = None


def symbols_in(data: bytes, known: KnownLabels = USUAL) -> Reading:
    """Texts of all QR symbols in an image file, left to right; where there is none, of bar codes with a check digit.

    Never raises for bad data. A plain pass takes whatever it reads; closer looks take only what `known` allows.
    """
    problem = refused_unopened(data)
    if problem:
        return Reading(problem=problem)
    try:
        return _read(data, known)
    except _FAULTS:
        return Reading(problem="broken")


def _read(data: bytes, known: KnownLabels) -> Reading:
    for grey in _passes(data):
        seen = seen_in(grey)
        if texts := texts_of(seen):
            return Reading(texts)
    texts, spots = read_closer(grey, seen, known)
    texts = texts or bars_in(grey)      # last: a label of ours beside somebody's bars is the one that is meant
    return Reading(texts) if texts else Reading(problem=likely_cause(grey, spots))


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
    """The same photo in grey: half size if it is large, then full, or as large as is looked at closely."""
    with _opened(data) as image:
        width, height, unpacks_small = *image.size, image.format in ("JPEG", "MPO")
    whole = 1
    while width * height > MOST_CLOSE * whole ** 2:
        whole *= 2
    if whole == 1 and unpacks_small and max(width, height) > DRAFT_ABOVE_PX:
        yield _grey(data, (width // 2, height // 2))
    full = _grey(data, (width // whole, height // whole))
    full = full.reduce(whole) if full.width == width and whole > 1 else full
    if whole > 1:                       # unpacking so much twice takes longer than shrinking it
        yield full.reduce(2)
    yield full


def _grey(data: bytes, size: tuple[int, int]) -> Image.Image:
    with _opened(data) as image:
        image.draft("L", size)      # JPEG unpacks straight to grey of about this size; others ignore it
        return image.convert("L")


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
