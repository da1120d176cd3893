"""What the decoder sees in a grey picture: texts that it read, and symbols that it found and could not read."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image

Floats = NDArray[np.floating[Any]]
USUAL_VERSION = 2
"""Of the symbols on our labels, where the decoder could not tell."""


@dataclass(frozen=True, slots=True)
class SeenSymbol:
    """One symbol in a picture."""

    text: str
    """Empty if it was found and not read."""
    corners_px: Floats
    """(4, 2): top left, top right, bottom right, bottom left of the symbol as it is meant to be held [pixels]."""
    version: int

    def moved(self, scale: float, left: float, top: float) -> "SeenSymbol":
        """The same symbol in a picture that this one was cut and enlarged from."""
        return SeenSymbol(self.text, self.corners_px / scale + np.array([left, top]), self.version)


def seen_in(grey: Image.Image | NDArray[np.uint8]) -> tuple[SeenSymbol, ...]:
    """All QR symbols in a grey picture, read or not; not Micro QR, of which a soiled symbol's one corner reminds."""
    only = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)    # a lasting one is complained of at exit
    found = zxingcpp.read_barcodes(grey, formats=only, try_invert=False, return_errors=True)
    return tuple(SeenSymbol(code.text if code.valid else "", _corners(code.position), _version(code.extra))
                 for code in found if code.format == zxingcpp.BarcodeFormat.QRCode)


def texts_of(seen: Iterable[SeenSymbol]) -> tuple[str, ...]:
    """What was read, left to right, each text once."""
    read = sorted((each for each in seen if each.text), key=lambda each: (each.corners_px[0, 0], each.text))
    return tuple(dict.fromkeys(each.text for each in read))


def _corners(position: Any) -> Floats:
    names = ("top_left", "top_right", "bottom_right", "bottom_left")
    return np.array([(getattr(position, name).x, getattr(position, name).y) for name in names], float)


def _version(extra: Any) -> int:
    said = str(extra.get("Version", "")) if isinstance(extra, dict) else ""
    return int(said) if said.isdecimal() and int(said) else USUAL_VERSION
