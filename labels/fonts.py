"""The typeface of everything on paper: one family, embedded, with Latin, Greek, Cyrillic and arrows.

Source Sans Pro (SIL Open Font License 1.1) comes as files in the package `font-source-sans-pro`;
the files are found without importing that package.
"""

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from labels import LabelError

REGULAR = "paper"
BOLD = "paper-bold"
FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Bold.ttf"}

CAP_HEIGHT = 0.66
"""Height of capitals and figures as a share of the type size (read from the font file)."""


@lru_cache(maxsize=1)
def register_fonts() -> None:
    """Make both weights known to the PDF library, once.

    Raises
    ------
    LabelError
        If the font package is not installed.
    """
    spec = find_spec("font_source_sans_pro")
    if spec is None or not spec.submodule_search_locations:
        raise LabelError("the fonts for printing are missing; install the package font-source-sans-pro")
    folder = Path(next(iter(spec.submodule_search_locations))) / "files"
    for name, file in FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))


def font_name(bold: object) -> str:
    """Registered name of the bold or the regular weight."""
    register_fonts()
    return BOLD if bold else REGULAR


@lru_cache(maxsize=8192)
def unit_width(text: str, *, bold: bool = False) -> float:
    """Width of `text` as a multiple of its type size.

    Examples
    --------
    >>> round(unit_width("OH-S073-K", bold=True), 3)
    4.776
    """
    return float(pdfmetrics.stringWidth(text, font_name(bold), 1.0))


def text_width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of `text` set in a type size [mm]."""
    return unit_width(text, bold=bold) * size_mm


def missing_characters(text: str) -> str:
    """Characters of `text` that the font cannot print, each once, in order.

    Examples
    --------
    >>> missing_characters("łódź, 日本")
    '日本'
    """
    font = pdfmetrics.getFont(font_name(False))
    known = font.face.charToGlyph  # type: ignore[attr-defined]  # TTFont, not the base class
    return "".join(dict.fromkeys(char for char in text if ord(char) not in known))
