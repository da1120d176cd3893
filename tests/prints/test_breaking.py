"""A way that is computed to break: refused before anything is written; accepted or labelled, said on every sheet."""

import pypdfium2
import pytest

from fieldapp.base.errors import PlanError
from fieldapp.frame.design import Design, FrameSection, HubSection, LabelsSection, RaisingSection, StrutSection
from fieldapp.kit.file import has_kit, read_kit
from fieldapp.log.opening import open_book
from fieldapp.prints.folder import make_folder
from fieldapp.web.server import create_app
from fieldapp.wording.breaking import accepted_line, breaking_line

SHEETS = ("booklet.pdf", "join.pdf", "rules.pdf", "rings.pdf", "cut-list.pdf", "hub-sheets.pdf", "break-test.pdf")


def weak(**raising):
    """11 hubs, struts of 30 mm on arms that broke at a newton: every way breaks."""
    return Design(
        frame=FrameSection(frequency=1, cut="2/3", diameter_m=2.2),
        strut=StrutSection(section="rod", material="C24", outer_mm=30.0),
        hub=HubSection(joint="flat arm", material="birch plywood 12", reach_mm=100.0, ply_mm=12.0, arm_depth_mm=45.0,
                       mass_kg=0.3, test_lever_mm=600.0, test_loads_n=(1.0, 1.1, 1.05)),
        labels=LabelsSection(), raising=RaisingSection(**raising))


def quiet(_words):
    """Says nothing."""


def pages(path):
    """The text of every page."""
    document = pypdfium2.PdfDocument(path)
    return [page.get_textpage().get_text_bounded().replace("\r\n", " ") for page in document]


def test_a_kit_whose_ways_all_break_is_refused_before_anything_is_written(tmp_path):
    with pytest.raises(PlanError, match="every way of raising is computed to break"):
        make_folder(tmp_path, weak(), report=quiet)
    assert list(tmp_path.iterdir()) == []


def test_accepted_it_stands_on_every_sheet_and_a_labelled_kit_is_kept_and_says_so_first(tmp_path):
    lines = make_folder(tmp_path, weak(accept_breaking=True), report=quiet)
    assert lines[0].startswith("Warning: this way breaks: the arm of H")
    assert lines[0].endswith("Accepted by the design.")
    for name in SHEETS:
        found = pages(tmp_path / "paper" / name)
        assert found
        assert [number for number, text in enumerate(found, start=1) if lines[0] not in text] == [], name
    short = accepted_line(weak(accept_breaking=True))
    for name in ("labels.pdf", "printer-check.pdf"):
        assert [text for text in pages(tmp_path / "paper" / name) if short not in text] == [], name
    assert lines[0] in (tmp_path / "paper" / "pocket.html").read_text(encoding="utf-8")
    with open_book(tmp_path) as book:
        assert breaking_line(book.site.plan, book.site.kit.design) == lines[0]
        client = create_app(book).test_client()
        for address in ("/", "/P/MF-H05", "/nowhere"):
            assert lines[0] in client.get(address, follow_redirects=True).get_data(as_text=True), address
    again = make_folder(tmp_path, weak(), report=quiet)
    assert again[0].startswith("Warning: this way breaks: ")
    assert "Do not raise it so. What would help: stronger arms" in again[0]
    assert has_kit(tmp_path)
    assert not read_kit(tmp_path).design.raising.accept_breaking
