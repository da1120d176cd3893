"""Bar codes with a check digit in a photo, believed only if two looks read them alike."""

import zxingcpp
from PIL import Image

SECOND_LOOK = 0.75
"""Size of the second look, so that bars fall on other pixels [1].
Source: our choice. Test: tests/photos/test_bars.py"""
LEAST_PX = 40
"""Smaller pictures hold no bar code (in no formula)."""


def bars_in(grey: Image.Image) -> tuple[str, ...]:
    """Texts of EAN-8, EAN-13, UPC-A and Code 128 that two looks read alike, each once.

    Source: GS1 General Specifications 7.9, ISO/IEC 15417 (from memory). Test: tests/photos/test_bars.py

    Notes
    -----
    All of them end in a check: modulo 10 of GS1, modulo 103 of ISO/IEC 15417, which the decoder holds them against. One
    wrong reading in ten has a right modulo 10, so a second look at another size must say the same. An EAN-13 that
    begins with 0 is told as the UPC-A that is printed below it.
    """
    if min(grey.size) < LEAST_PX:
        return ()
    size = round(grey.width * SECOND_LOOK), round(grey.height * SECOND_LOOK)
    smaller = grey.resize(size, Image.Resampling.BILINEAR)
    first, again = _read(grey), _read(smaller)
    return tuple(text for text in first if text in again)


def _read(grey: Image.Image) -> tuple[str, ...]:
    kinds = zxingcpp.BarcodeFormat
    asked = zxingcpp.BarcodeFormats([kinds.EAN13, kinds.EAN8, kinds.UPCA, kinds.Code128])
    found = zxingcpp.read_barcodes(grey, formats=asked, try_invert=False)
    return tuple(dict.fromkeys(_told(code.text) for code in found if code.valid and code.text))


def _told(text: str) -> str:
    return text[1:] if len(text) == 13 and text.isdecimal() and text.startswith("0") else text
