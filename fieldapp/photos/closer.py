"""Passes over a photo in which nothing was read: find the symbol, crop, enlarge, sharpen, then unroll.

Each works on less of the picture than the one before it, so that what is tried often is small. Sizes were chosen by
trying them on photos drawn with another seed than those whose rates are told (`tests/bench/bench_photos.py`).
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from fieldapp.photos.decoding import Floats, SeenSymbol, seen_in, texts_of
from fieldapp.photos.known import KnownLabels, is_believed
from fieldapp.photos.lattice import FINDER_MIDDLE, flat_and_bent, flattened, laid_out

MIDDLE = 0.64
"""Share of each side where people hold the label; our choice."""
ENLARGED_PIXELS = 8_000_000
"""The middle is enlarged to at most this, and at most twice; our choice."""
MEAN_OVER_PX = 8
"""The light is taken from blocks of this side, three to each side; our choice."""
LEVEL = 120.0
"""Mean grey of a picture whose light was evened out."""
MODULE_PX = 6.0
"""Of a close-up; smaller ones are enlarged up to four times, larger ones shrunk."""
MARGIN = 0.4
"""Round a close-up, in widths of the symbol."""
MOST_SPOTS = 8
"""Looked at closely in one picture."""
SIDES = (25, 29, 21, 33)
"""Modules of symbols that hold an address, the likeliest first. Source: ISO/IEC 18004, versions 1 to 4.
Test: tests/photos/test_lattice.py"""
AGREES = 0.55
"""A grid that agrees less lies on no symbol; our choice (right ones: 0.8 and more)."""
SHARPER = ImageFilter.UnsharpMask(3, 200, 0)


def read_closer(grey: Image.Image, seen: Sequence[SeenSymbol], known: KnownLabels
                ) -> tuple[tuple[str, ...], tuple[SeenSymbol, ...]]:
    """What closer looks read, left to right, and all symbols that were found on the way.

    Parameters
    ----------
    grey : Image
        In mode L.
    seen : sequence of SeenSymbol
        What the plain pass found and could not read.
    known : KnownLabels
        What is believed; anything else that is read is let go.
    """
    spots: tuple[SeenSymbol, ...] = ()
    for found in _stages(grey, seen):
        spots += found
        read = [each for each in found if is_believed(each.text, known)]
        read += [close for each in found if not each.text for close in _close_up(grey, each, known)]
        if read:
            return texts_of(read), spots
    return (), spots


def _stages(grey: Image.Image, seen: Sequence[SeenSymbol]) -> Iterator[tuple[SeenSymbol, ...]]:
    """Symbols as the plain pass found them, then in the enlarged middle, then in all of the picture in even light."""
    yield tuple(seen[:MOST_SPOTS])
    width, height = grey.size
    left, top = round(width * (1 - MIDDLE) / 2), round(height * (1 - MIDDLE) / 2)
    middle = grey.crop((left, top, width - left, height - top))
    scale = min(2.0, (ENLARGED_PIXELS / (middle.width * middle.height)) ** 0.5)
    yield tuple(each.moved(scale, left, top) for each in seen_in(_resized(even_light(middle), scale)))[:MOST_SPOTS]
    yield seen_in(even_light(grey).filter(ImageFilter.SHARPEN))[:MOST_SPOTS]


def even_light(grey: Image.Image) -> Image.Image:
    """Every pixel divided by the mean of its surroundings: shade, dusk and glare fall away."""
    if min(grey.size) < MEAN_OVER_PX:
        return grey
    mean = grey.reduce(MEAN_OVER_PX).filter(ImageFilter.BoxBlur(3)).resize(grey.size, Image.Resampling.BILINEAR)
    values = np.asarray(grey).astype(np.float32)
    values /= np.asarray(mean).astype(np.float32) + 3.0
    values *= LEVEL
    return Image.fromarray(np.minimum(values, 255.0, out=values).astype(np.uint8))


def _resized(grey: Image.Image, scale: float) -> Image.Image:
    size = tuple(max(1, round(side * scale)) for side in grey.size)
    return grey.resize((size[0], size[1]), Image.Resampling.BICUBIC)


def _close_up(grey: Image.Image, spot: SeenSymbol, known: KnownLabels) -> Iterator[SeenSymbol]:
    """The symbol at this spot, if it can be read cropped and enlarged, sharpened, or flattened."""
    cut = _cut(grey, spot)
    if cut is None:
        return
    picture, scale, left, top = cut
    here = SeenSymbol("", (spot.corners_px - np.array([left, top])) * scale, spot.version)
    for tried in (picture, picture.filter(SHARPER)):
        for each in seen_in(tried):
            if is_believed(each.text, known):
                yield each.moved(scale, left, top)
                return
    for text in _unrolled(np.asarray(picture).astype(np.float32), here, known):
        yield SeenSymbol(text, spot.corners_px, spot.version)
        return


def _cut(grey: Image.Image, spot: SeenSymbol) -> tuple[Image.Image, float, float, float] | None:
    """The surroundings of a spot, about `MODULE_PX` a module, in full contrast; scale, left and top of the cut."""
    low, high = spot.corners_px.min(axis=0), spot.corners_px.max(axis=0)
    side = float(np.linalg.norm(np.diff(spot.corners_px[:3], axis=0), axis=1).max())
    low, high = np.maximum(low - MARGIN * side, 0), np.minimum(high + MARGIN * side, grey.size)
    if side < 1 or (high - low).min() < MEAN_OVER_PX:
        return None
    left, top, right, bottom = (round(float(edge)) for edge in (*low, *high))
    scale = min(MODULE_PX * (17 + 4 * spot.version) / side, 4.0)
    cut = _resized(grey.crop((left, top, right, bottom)), min(scale, 1000 / max(right - left, bottom - top)))
    return full_contrast(cut), cut.width / (right - left), left, top


def full_contrast(grey: Image.Image) -> Image.Image:
    """From the darkest to the lightest hundredth."""
    values = np.asarray(grey).astype(np.float32)
    dark, light = np.percentile(values, (1, 99))
    values = (values - dark) * (255.0 / max(light - dark, 1.0))
    return Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))


def _unrolled(picture: Floats, spot: SeenSymbol, known: KnownLabels) -> Iterator[str]:
    """What is read of the symbol once it is laid flat."""
    bends = flat_and_bent(np.radians(known.arcs_deg).tolist())
    said = 17 + 4 * spot.version
    sides = sorted(SIDES, key=lambda side: (abs(side - said), SIDES.index(side)))[:2]
    lattices = [laid_out(picture, finders_px(spot.corners_px, said), side, bends) for side in sides]
    best = max(lattices, key=lambda each: each.agreement)
    if best.agreement < AGREES:
        return
    for module_px in (6, 4):
        flat = flattened(picture, best, module_px)
        for tried in (flat, Image.fromarray(flat).filter(SHARPER)):
            yield from (each.text for each in seen_in(tried) if is_believed(each.text, known))


def finders_px(corners_px: Floats, modules: int) -> Floats:
    """(3, 2) middles of the finder patterns of a symbol with these corners, by the plane map that the decoder used."""
    at = FINDER_MIDDLE / modules
    plane = _plane(corners_px)
    seen: NDArray[np.floating] = np.array([[at, at, 1.0], [1 - at, at, 1.0], [at, 1 - at, 1.0]]) @ plane.T
    return seen[:, :2] / seen[:, 2:]


def _plane(corners_px: Floats) -> Floats:
    """(3, 3) map from the unit square to four corners."""
    rows, right = [], []
    for (u, v), (x, y) in zip(((0, 0), (1, 0), (1, 1), (0, 1)), corners_px, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        right += [x, y]
    try:
        found = np.linalg.solve(np.array(rows, float), np.array(right, float))
    except np.linalg.LinAlgError:                                   # corners in one line
        found = np.zeros(8)
    return np.append(found, 1.0).reshape(3, 3)
