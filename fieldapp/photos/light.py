"""Why a photo was not read, told by the label where one was found: a bright sky behind it does not make it bright."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from fieldapp.photos.decoding import SeenSymbol

WhyUnread = Literal["dark", "bright", "blurred", "no symbol"]

DARK_WHITE = 70
"""The white of a label below this is too dark [grey value]; our choice, by trying."""
BRIGHT_BLACK = 165
"""The black of a symbol above this is washed out [grey value]; our choice, by trying."""
SOFT = 0.16
"""Share of the contrast that the steepest edges take a sixth of a module; below this they are blurred; our choice."""
LONGEST_PX = 600
NOTHING_SEEN = 45
"""The lightest hundredth of a whole photo below this shows nothing [grey value]; our choice."""
ALL_WHITE = 235
"""The mean of a whole photo above this shows nothing [grey value]; our choice."""


def likely_cause(grey: Image.Image, spots: Sequence[SeenSymbol]) -> WhyUnread:
    """What kept a photo from being read: of the first symbol that was found, or of the whole where none was."""
    for spot in spots:
        if (label := _cut_out(grey, spot)) is not None:
            return _of_label(label)
    small = grey.copy()
    small.thumbnail((LONGEST_PX, LONGEST_PX))
    values = np.asarray(small)
    if np.percentile(values, 99) < NOTHING_SEEN:
        return "dark"
    if values.mean() > ALL_WHITE:
        return "bright"
    edges = np.asarray(small.filter(ImageFilter.FIND_EDGES)).std()
    return "blurred" if edges < 12 else "no symbol"


def _cut_out(grey: Image.Image, spot: SeenSymbol) -> Image.Image | None:
    """Just the symbol, about six pixels a module."""
    low, high = spot.corners_px.min(axis=0), spot.corners_px.max(axis=0)
    box = (max(0, int(low[0])), max(0, int(low[1])), min(grey.width, int(high[0])), min(grey.height, int(high[1])))
    if box[2] - box[0] < 8 or box[3] - box[1] < 8:
        return None
    return grey.crop(box).resize((6 * (17 + 4 * spot.version),) * 2, Image.Resampling.BICUBIC)


def _of_label(label: Image.Image) -> WhyUnread:
    values: NDArray[np.float32] = np.asarray(label).astype(np.float32)
    black, white = np.percentile(values, (5, 95))
    if white < DARK_WHITE:
        return "dark"
    if black > BRIGHT_BLACK:
        return "bright"
    steepest = np.percentile(np.abs(np.diff(values, axis=1)), 99) / max(white - black, 1.0)
    return "blurred" if steepest < SOFT else "no symbol"
