"""Checks of every PDF against ISO 32000-1:2008: what a document says of itself, and how it asks to be printed.

Read by pikepdf, which wrote none of them. Names and values: 12.2, table 150 (viewer preferences), 14.3.3 (document
information), 9.9 (embedded font programs), 14.9.2 (natural language). Read in the standard's text; numbers from memory.
"""

from io import BytesIO

import pikepdf
import pytest

from labels.document import About
from labels.page import Page
from labels.page_pdf import document_bytes, imposed_bytes
from labels.pdf import pdf_bytes
from labels.pieces import Words

A4 = (210.0, 297.0)
WORDS = (Words("regular", 20.0, 20.0, 5.0), Words("bold", 20.0, 30.0, 5.0, bold=True))
PAGES = [Page(WORDS)] * 4
MADE = {
    "labels": pdf_bytes([((WORDS, 0.0, 0.0),)], A4, About("Title", lang="nl")),
    "paper": document_bytes(PAGES, A4, About("Title", lang="nl", sides="long edge")),
    "folded": imposed_bytes(PAGES, A4, About("Title", lang="nl", sides="long edge")),
}


@pytest.fixture(params=MADE)
def read(request):
    """One kind of document, opened."""
    with pikepdf.open(BytesIO(MADE[request.param])) as document:
        yield request.param, document


def test_it_asks_for_true_size_and_the_right_side(read):
    kind, document = read
    asked = document.Root.ViewerPreferences
    assert asked.PrintScaling == "/None"
    assert asked.Duplex == {"labels": "/Simplex", "paper": "/DuplexFlipLongEdge",
                            "folded": "/DuplexFlipShortEdge"}[kind]
    assert asked.DisplayDocTitle == True  # noqa: E712  # a PDF object, which is not True itself
    assert document.pdf_version == "1.7"
    width, height = (float(side) for side in document.pages[0].MediaBox[2:])
    assert (width > height) == (kind == "folded")


def test_it_has_title_author_and_language(read):
    _, document = read
    assert (str(document.docinfo.Title), str(document.docinfo.Author)) == ("Title", "raisebook")
    assert str(document.Root.Lang) == "nl"


def test_every_font_that_it_names_is_embedded(read):
    _, document = read
    fonts = [one for one in document.objects
             if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/Font"]
    assert len(fonts) >= 2
    assert [str(font.BaseFont) for font in fonts if "/FontFile2" not in font.get("/FontDescriptor", {})] == []
