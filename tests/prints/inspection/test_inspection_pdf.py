"""The record of an inspection on paper, the same bytes each time; tags whose symbol opens the bundle; breaks drawn."""

import io
from dataclasses import replace

import pypdfium2
import pytest
import zxingcpp

from fieldapp.base.errors import PaperError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.prints.inspection import DefectRow, InspectedBundle, InspectionSheets, ResultRow, UsedLine
from fieldapp.prints.inspection.pdf import inspection_bytes, tags_bytes
from fieldapp.prints.pictures.breakage import RING_MM, Broken, breakage_picture
from fieldapp.wording.breaking import accepted_line
from labels.drawing import Circle, Line, Text

LINE = UsedLine("cracks", "Bend each arm a little.", "", "must pass, each arm", "common practice, no source")


@pytest.fixture(scope="module")
def kit() -> Kit:
    return build_kit(orchard_hall())


@pytest.fixture
def record(kit: Kit) -> InspectionSheets:
    ids = [part.id for part in kit.parts]
    rows = tuple(ResultRow(part, "1", "A1", "2026-05-01 09:00", "inspector 1", "scanned", "passed", True)
                 for part in ids[:-2])
    bad = ResultRow(ids[-2], "D", "A1", "2026-05-01 09:30", "inspector 2", "typed", "quarantined: splits", False)
    return InspectionSheets(
        "Spring", (("Opened", "2026-05-01 08:00 UTC by chief"),), (("passed", len(rows)), ("quarantined", 1)),
        "In the round all parts but one passed.", ("Inspector: name, date, signature", "Released for use by: name"),
        (DefectRow(ids[-2], "D", "quarantined", "A1", "failed: splits 木"),), (("Hubs", (LINE,)), ("Struts", (LINE,))),
        (*rows, bad), (("in no bundle", (ids[-1],)),))


def _pages(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(io.BytesIO(data))
    return [page.get_textpage().get_text_range() for page in document]


def test_the_record_holds_every_part_and_what_is_signed_stands_on_the_first_page(kit, record):
    pages = _pages(inspection_bytes(kit, record))
    for words in ("Inspection round: Spring", record.statement, *record.signatures, "Open defects: 1"):
        assert words in pages[0]
    whole = "\n".join(pages)
    assert [part.id for part in kit.parts if part.id not in whole] == []
    assert "» quarantined: splits" in whole
    assert "failed: splits ?" in whole                      # a sign that the font lacks stops no record
    assert all("part" in page for page in pages[2:-1])      # a table that goes on has its heads again
    for number, page in enumerate(pages, start=1):
        assert "Inspection record of kit OH: Spring" in page
        assert f"{number} of {len(pages)}" in page
    assert whole.count("a competent person") == 1


def test_a_way_that_breaks_and_is_accepted_stands_on_every_page(kit, record):
    design = kit.design
    accepted = design.model_copy(update={"raising": design.raising.model_copy(update={"accept_breaking": True})})
    line = accepted_line(accepted)
    assert "computed to break" in line
    assert [page for page in _pages(inspection_bytes(replace(kit, design=accepted), record)) if line not in page] == []
    assert accepted_line(design) == ""


def test_the_same_log_gives_the_same_bytes(kit, record):
    assert inspection_bytes(kit, record) == inspection_bytes(kit, record)


def test_the_tag_of_a_bundle_says_when_and_its_symbol_opens_it(kit):
    found = "inspected 2026-05-01", "all 52 parts passed"
    data = tags_bytes(kit, [InspectedBundle("struts C", found, "inspector 1")])
    page = pypdfium2.PdfDocument(io.BytesIO(data))[0]
    words = page.get_textpage().get_text_range()
    assert "inspected 2026-05-01" in words
    assert "all 52 parts passed" in words
    assert "not complete" not in words
    assert "OH · " in words
    found = [code.text for code in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())]
    assert found == [f"{kit.design.site.address}/bundle?name=struts%20C"]


def test_the_tag_of_a_bundle_that_was_not_seen_whole_says_so(kit):
    data = tags_bytes(kit, [InspectedBundle("hubs 1", ("4 of 5 parts inspected", "last on 2026-05-01"), "", False)])
    assert "not complete" in pypdfium2.PdfDocument(io.BytesIO(data))[0].get_textpage().get_text_range()


def test_without_bundles_it_is_said_what_to_do(kit):
    with pytest.raises(PaperError, match="no part is in a bundle"):
        tags_bytes(kit, [])


def test_the_picture_of_breaks_weighs_lines_by_use_and_numbers_the_breaks(kit):
    strut, hub = kit.frame.struts[20].name, kit.frame.hubs[10].name
    picture = breakage_picture(kit.frame, {strut: 0.4}, [Broken(hub, 3, 2), Broken(strut, 1)])
    lines = [item for item in picture.items if isinstance(item, Line)]
    widths = sorted(line.width_mm for line in lines if line.role in ("standing", "far"))
    assert widths[-1] > 10 * widths[-2]
    assert [text.text for text in picture.items if isinstance(text, Text) and text.role == "damaged"] == ["3", "1"]
    rings = [item for item in picture.items if isinstance(item, Circle) and item.role == "damaged"]
    assert [ring.radius_mm for ring in rings] == [RING_MM, RING_MM]
    assert picture.title == "Plan from above: line weight is use, 4 breaks marked"
