"""The labels of the whole demo kit, read back from the printed page by software that is not ours."""

from collections import Counter
from dataclasses import replace

import pypdf
import pypdfium2
import pytest
import zxingcpp

from fieldapp.base.errors import PaperError, PartIdError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.ids import parse_part_id
from fieldapp.prints.sheets.label_kinds import kind_sheets, write_kind
from fieldapp.prints.sheets.labels import part_labels, write_calibration

DPI = 200
POINTS_PER_MM = 72 / 25.4


def with_labels(kit, **changes):
    """The kit with another [labels] section."""
    design = kit.design
    section = design.labels.model_copy(update=changes)
    return replace(kit, design=design.model_copy(update={"labels": section}))


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def printed(kit, tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "labels.pdf"
    assert write_kind(kit, path, "part") == ()
    return path


def symbols_on(page):
    """(text, x_mm, y_mm of the middle) of every symbol that the decoder finds on a rendered page."""
    picture = page.render(scale=DPI / 72, grayscale=True).to_numpy().squeeze()
    for code in zxingcpp.read_barcodes(picture, zxingcpp.BarcodeFormat.QRCode, try_invert=False):
        corners = [getattr(code.position, name) for name in ("top_left", "top_right", "bottom_right", "bottom_left")]
        middle = (sum(corner.x for corner in corners) / 4, sum(corner.y for corner in corners) / 4)
        yield code.text, middle[0] * 25.4 / DPI, middle[1] * 25.4 / DPI


def test_every_symbol_of_the_kit_is_read_at_200_dpi_on_its_own_label(kit, printed):
    sheets, stock = kind_sheets(kit, "part")
    document = pypdfium2.PdfDocument(printed)
    read = 0
    for page, sheet in zip(document, sheets, strict=True):
        found = list(symbols_on(page))
        for placed in sheet.labels:
            inside = [text for text, x, y in found if 0 < x - placed.x_mm < stock.label_width_mm
                      and 0 < y - placed.y_mm < stock.label_height_mm]
            assert inside == ([placed.label.symbol_text] if placed.label.symbol_text else [])
            read += len(inside)
    hubs = sum(part.kind == "hub" for part in kit.parts)
    assert read == hubs + 2 * (len(kit.parts) - hubs)


def test_every_part_has_its_labels_and_every_symbol_finds_its_part(kit):
    labels = [label for label in part_labels(kit) if label.symbol_text]
    assert Counter(label.headline for label in labels) == {
        part.id: 1 if part.kind == "hub" else 2 for part in kit.parts}
    for label in labels:
        found = parse_part_id(label.symbol_text, kit)
        assert found.part.id == label.headline
        assert found.end == (int(label.name[-1]) if found.part.kind == "strut" else None)


def test_every_id_stands_on_its_own_label_and_nowhere_else(kit, printed):
    sheets, stock = kind_sheets(kit, "part")
    document, reader = pypdfium2.PdfDocument(printed), pypdf.PdfReader(printed)
    ids = {part.id for part in kit.parts}
    for page, plain, sheet in zip(document, reader.pages, sheets, strict=True):
        words = page.get_textpage()
        height = stock.paper_mm[1]
        for placed in sheet.labels:
            x, y = placed.x_mm, placed.y_mm
            text = words.get_text_bounded(x * POINTS_PER_MM, (height - y - stock.label_height_mm) * POINTS_PER_MM,
                                          (x + stock.label_width_mm) * POINTS_PER_MM, (height - y) * POINTS_PER_MM)
            here = Counter(word for word in text.split() if word in ids)
            assert here == ({} if placed.label.tags else {placed.label.headline: 2}), placed.label.title
        whole = plain.extract_text()
        in_margin = Counter((sheet.labels[0].label.headline, sheet.labels[-1].label.headline))
        for part_id in {placed.label.headline for placed in sheet.labels}:
            on_labels = sum(2 for p in sheet.labels if p.label.headline == part_id and not p.label.tags)
            assert whole.count(part_id) == on_labels + in_margin[part_id]


def test_a_strut_label_says_which_end_goes_where(kit):
    label = next(label for label in part_labels(kit, ["S073.2"]))
    place = kit.frame.strut("S073")
    assert label.arrow == f"this end: {place.end_2.hub} arm {place.end_2.arm}"
    assert label.lines == (f"other end: {place.end_1.hub}",)
    assert not label.arrow_up
    assert label.symbol_text == f"http://10.0.0.1:8000/P/{label.headline}.2"
    assert (label.band_letter, label.bands) == (f"class {place.strut_class}", "ABCD".index(place.strut_class) + 1)


def test_hub_labels_and_their_arms(kit):
    label, arms = part_labels(kit, ["H22"])
    hub = kit.frame.hub("H22")
    assert label.arrow == "up the frame"
    assert label.arrow_up
    assert label.band_letter == f"class {hub.hub_class}"
    assert [(tag.headline, tag.words) for tag in arms.tags] == [(str(a.number), a.strut) for a in hub.arms]


def test_handed_hubs_name_the_class_they_must_not_be_taken_for(kit):
    handed = next(c for c in kit.frame.hub_classes if c.handed)
    part = next(p for p in kit.parts if p.part_class == handed.name and not p.is_spare)
    label = part_labels(kit, [part.id])[0]
    assert label.lines == (f"{handed.handed}-handed, not {handed.mirror}", "outside face")


def test_the_topmost_hub_says_where_its_arrow_points(kit):
    top = kit.frame.hubs[int(kit.frame.nodes_mm[:, 2].argmax())].name
    assert part_labels(kit, [top])[0].arrow == "to the back"


def test_spares_say_so_and_name_their_class(kit):
    spare = next(p for p in kit.parts if p.is_spare and p.kind == "strut")
    first, second = part_labels(kit, [spare.id])
    assert first.lines == second.lines == ("spare",)
    assert first.band_letter == f"class {spare.part_class}"
    assert (first.arrow, first.name) == ("this end", f"{spare.id} end 1")


def test_a_spare_hub_has_no_way_up_until_it_has_a_place(kit):
    spare = next(p for p in kit.parts if p.is_spare and p.kind == "hub")
    labels = part_labels(kit, [spare.id])
    assert len(labels) == 1
    assert labels[0].arrow == ""
    assert labels[0].lines[-2:] == ("spare", "outside face")


def test_labels_come_pile_by_pile(kit):
    labels = part_labels(kit)
    piles = [(kit.part(label.headline).kind, kit.part(label.headline).part_class) for label in labels]
    changes = [pile for pile, before in zip(piles, [None, *piles], strict=False) if pile != before]
    assert len(changes) == len(set(changes))
    assert [pile for pile in changes if pile[0] == "strut"] == [("strut", letter) for letter in "ABCD"]


def test_some_parts_again_from_a_free_position(kit, tmp_path):
    write_kind(kit, tmp_path / "again.pdf", "part", part_ids=["OH-S073", "oh-h22"], start=5)
    sheets, _ = kind_sheets(kit, "part", ["OH-S073", "oh-h22"], start=5)
    assert [p.label.title for p in sheets[0].labels] == [
        "OH-H22-" + kit.by_place["H22"].id[-1], "OH-H22-" + kit.by_place["H22"].id[-1] + " arms",
        kit.by_place["S073"].id + " end 1", kit.by_place["S073"].id + " end 2"]
    assert (sheets[0].labels[0].x_mm, sheets[0].labels[0].y_mm) == (4.5, 91.5)


def test_scratch_resistant_symbols_are_read_too(kit, tmp_path):
    tough = with_labels(kit, scratch_resistant=True)
    write_kind(tough, tmp_path / "q.pdf", "part", part_ids=["S001"])
    page = pypdfium2.PdfDocument(tmp_path / "q.pdf")[0]
    assert sorted(text for text, *_ in symbols_on(page)) == [
        label.symbol_text for label in part_labels(kit, ["S001"])]
    sheet, = kind_sheets(tough, "part", ["S001"])[0]
    mark = next(piece for piece in sheet.labels[0].composition.pieces if hasattr(piece, "symbol"))
    assert mark.symbol.level == "Q"


def test_the_smallest_symbols_are_read_at_200_dpi(kit, tmp_path):
    small = with_labels(kit, columns=3, rows=10, label_width_mm=50.0, label_height_mm=25.0)
    warnings = write_kind(small, tmp_path / "small.pdf", "part", part_ids=["S001", "S002", "S003"])
    assert warnings
    marks = [piece for placed in kind_sheets(small, "part", ["S001", "S002", "S003"])[0][0].labels
             for piece in placed.composition.pieces if hasattr(piece, "symbol")]
    assert min(mark.module_mm for mark in marks) == pytest.approx(0.5, abs=0.02)
    page = pypdfium2.PdfDocument(tmp_path / "small.pdf")[0]
    assert len({text for text, *_ in symbols_on(page)}) == 6


@pytest.mark.parametrize(("ask", "error", "message"), [
    ({"part_ids": ["XY-S999"]}, PartIdError, "XY-S999 is not a part ID"),
    ({"part_ids": ["OH-SO73"]}, PartIdError, "below, or look at the label again.\n  Nearest in this kit: OH-S073-C"),
    ({"start": 15}, PaperError, "start must be 1 to 14 (the labels of one sheet), got 15"),
])
def test_what_cannot_be_printed_is_said_and_nothing_is_written(kit, tmp_path, ask, error, message):
    with pytest.raises(error) as caught:
        write_kind(kit, tmp_path / "labels.pdf", "part", **ask)
    assert message in str(caught.value)
    assert not list(tmp_path.iterdir())


def test_labels_that_do_not_fit_the_paper(kit, tmp_path):
    with pytest.raises(PaperError, match="at most 6 rows fit"):
        write_kind(with_labels(kit, paper="Letter"), tmp_path / "labels.pdf", "part")
    with pytest.raises(PaperError, match="at most 6 rows fit"):
        write_calibration(with_labels(kit, paper="Letter"), tmp_path / "check.pdf")


def test_printer_check_sheet(kit, tmp_path):
    write_calibration(kit, tmp_path / "check.pdf")
    page = pypdfium2.PdfDocument(tmp_path / "check.pdf")[0]
    assert [text for text, *_ in symbols_on(page)] == [part_labels(kit, [kit.parts[0].id])[0].symbol_text] * 4
