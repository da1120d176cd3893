"""What every PDF is: embedded fonts only, a title and an author, and how printers are asked to print it.

A canvas of the PDF library names a font of the viewer's unless told otherwise, so no document is begun elsewhere.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import Final, Literal

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.fonts import REGULAR, register_fonts

Sides = Literal["one", "long edge", "short edge"]
"""Printed on one side, or on both and turned over the long or the short edge of the paper."""

DUPLEX: Final[dict[Sides, str]] = {"one": "Simplex", "long edge": "DuplexFlipLongEdge",
                                   "short edge": "DuplexFlipShortEdge"}
"""What the print window is asked to offer. Source: ISO 32000-1, 12.2, table 150. Test: tests/labels/test_document.py"""

NO_SCALING: Final = "None"
"""`PrintScaling`: true to size. Windows may ignore it, so rulers stay on sheets that are measured.
Source: ISO 32000-1, 12.2, table 150. Test: tests/labels/test_document.py"""

PDF_VERSION: Final = (1, 7)
"""The first that has `Duplex`. Source: ISO 32000-1, 12.2, table 150. Test: tests/labels/test_document.py"""

PROGRAM: Final = "raisebook"


@dataclass(frozen=True, slots=True)
class About:
    """What the document says of itself."""

    title: str
    subject: str = ""
    keywords: tuple[str, ...] = ()
    lang: str = "en"
    """Language of its text, for screen readers."""
    sides: Sides = "one"
    """How it is meant to be printed."""


def new_document(buffer: BytesIO, paper_mm: tuple[float, float], about: About) -> Canvas:
    """An empty document that says what it is and how to print it."""
    register_fonts()
    canvas = Canvas(buffer, pagesize=(paper_mm[0] * mm, paper_mm[1] * mm), invariant=1, pageCompression=1,
                    pdfVersion=PDF_VERSION, lang=about.lang,
                    initialFontName=REGULAR)  # type: ignore[arg-type]  # the stubs are wrong: it is a name
    canvas.setTitle(about.title)
    canvas.setSubject(about.subject)
    canvas.setKeywords(", ".join(about.keywords))
    canvas.setAuthor(PROGRAM)
    canvas.setCreator(PROGRAM)
    canvas.setProducer(PROGRAM)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setViewerPreference("PrintScaling", NO_SCALING)
    canvas.setViewerPreference("Duplex", DUPLEX[about.sides])
    return canvas
