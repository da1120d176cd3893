"""Every kind of label of the whole demo kit, checked on paper by software that is not ours."""

import math
from collections import Counter
from dataclasses import replace

import flask
import pikepdf
import pypdf
import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner

from fieldapp.base.errors import PaperError, PartIdError
from fieldapp.cli import main
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.kit.interchange import hub_turns
from fieldapp.prints.sheets import KINDS
from fieldapp.prints.sheets.containers import bag_labels, box_labels, bundle_labels
from fieldapp.prints.sheets.label_kinds import kind_sheets, write_kind
from fieldapp.prints.sheets.new_places import NewPlace, new_place_labels, write_new_places
from fieldapp.web.parts import place
from labels.drawing import Polygon
from labels.pieces import FilledShape, PlacedDrawing, SymbolMark, Words

POINTS_PER_MM = 72 / 25.4
FONT_CAP = 0.66


def with_design(kit, section, **changes):
    """The kit with another section of its design."""
    changed = getattr(kit.design, section).model_copy(update=changes)
    return replace(kit, design=kit.design.model_copy(update={section: changed}))


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


OFTEN = ("part", "wrap", "hub-round", "bundle")
EVERY = [*OFTEN, *(pytest.param(kind, marks=pytest.mark.thorough) for kind in KINDS if kind not in OFTEN)]
"""What most kits print in every run, the other kinds at length."""


@pytest.fixture(scope="module")
def paper(kit, tmp_path_factory):
    """Call it with a kind for its file: each is written once."""
    folder = tmp_path_factory.mktemp("paper")

    def written(kind):
        path = folder / f"{kind}.pdf"
        if not path.exists():
            assert write_kind(kit, path, kind) == ()
        return path

    return written


def wanted_ids(placed):
    """How often each part ID stands on one label."""
    label, said = placed.label, Counter()
    if label.tags:
        return said
    symbols = sum(isinstance(piece, SymbolMark) for piece in placed.composition.pieces)
    said[label.headline] = {"wrap": 4, "round": 1, "hexagon": 1, "list": 0}.get(label.form, 1 + symbols)
    return +said + Counter(label.contents)


@pytest.mark.parametrize("kind", EVERY)
def test_every_id_stands_on_its_own_label_and_nowhere_else(kit, paper, kind):
    sheets, stock = kind_sheets(kit, kind)
    document, ids = pypdfium2.PdfDocument(paper(kind)), {part.id for part in kit.parts}
    height = stock.paper_mm[1]
    for page, sheet in zip(document, sheets, strict=True):
        words = page.get_textpage()
        for placed in sheet.labels:
            x, y = placed.x_mm, placed.y_mm
            box = (x, height - y - stock.label_height_mm, x + stock.label_width_mm, height - y)
            text = words.get_text_bounded(*(edge * POINTS_PER_MM for edge in box))
            assert Counter(word for word in text.split() if word in ids) == wanted_ids(placed), placed.label.title


@pytest.mark.parametrize("kind", EVERY)
def test_two_other_readers_accept_the_file(paper, kind):
    """qpdf, through pikepdf, finds no fault; pypdf finds every used font inside and every label's text."""
    with pikepdf.open(paper(kind)) as document:
        check = getattr(document, "check_pdf_syntax", None) or document.check  # its name before pikepdf 10
        assert check() == []
    reader = pypdf.PdfReader(paper(kind))
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)
    assert "OH-" in reader.pages[0].extract_text()
    assert reader.metadata.title == "Orchard Hall: labels"


@pytest.mark.parametrize("kind", ["wrap", *(
    pytest.param(kind, marks=pytest.mark.thorough) for kind in KINDS if kind not in ("part", "hub-hex", "wrap"))])
def test_same_kit_same_bytes(kit, paper, tmp_path, kind):
    """Two processes write those that `make` writes: `tests/journey`. Hexagons share their drawing with rounds."""
    write_kind(build_kit(kit.design), tmp_path / "again.pdf", kind)
    assert (tmp_path / "again.pdf").read_bytes() == paper(kind).read_bytes()


@pytest.mark.parametrize(("kind", "asked", "titles"), [
    ("part", ["S073.2"], ["OH-S073-C end 2"]),
    ("wrap", ["S073", "H22"], ["OH-S073-C end 1"]),
    ("wrap", ["S073.2"], ["OH-S073-C end 2"]),
    ("hub-round", ["H22"], ["OH-H22-T"]),
    ("hub-hex", ["H61", "H22"], ["OH-H22-T", "OH-H61-F"]),
    ("tag", ["S073.1", "H22"], ["OH-H22-T", "OH-S073-C end 1"]),
    ("bag", ["H22"], ["Ring 2 hubs"]),
    ("bundle", ["S001"], ["Ring 1 struts D"]),
    ("box", ["H22", "S073"], ["Box parts"]),
])
def test_some_labels_again_from_a_free_position(kit, kind, asked, titles):
    sheets, stock = kind_sheets(kit, kind, asked, start=2)
    assert sorted(placed.label.title for sheet in sheets for placed in sheet.labels) == sorted(titles)
    first = 2 if (kind, len(titles)) == ("wrap", 2) else 1  # both ends side by side, in the next row
    assert (sheets[0].labels[0].x_mm, sheets[0].labels[0].y_mm) == stock.position_mm(first)


@pytest.mark.parametrize(("kind", "asked", "error", "message"), [
    ("wrap", ["H22"], PaperError, "there are no labels of the kind wrap for H22; strips are for struts, so name strut"),
    ("hub-hex", ["S001"], PaperError, "these labels are for hubs, so name hubs"),
    ("bag", ["XY-S999"], PartIdError, "XY-S999 is not a part ID"),
])
def test_what_cannot_be_printed_is_said_and_nothing_is_written(kit, tmp_path, kind, asked, error, message):
    with pytest.raises(error) as caught:
        write_kind(kit, tmp_path / "labels.pdf", kind, part_ids=asked)
    assert message in str(caught.value)
    assert not list(tmp_path.iterdir())


def test_a_tag_that_hangs_claims_no_direction_and_a_spares_tag_no_arm(kit):
    spares = {part.kind: part.id for part in kit.parts if part.is_spare and part.part_class in ("1", "A")}
    sheet, = kind_sheets(kit, "tag", ["H22", "H61", "S053.1", spares["hub"], f"{spares['strut']}.2"])[0]
    assert [placed.label.lines for placed in sheet.labels] == [
        ("spare",), ("right-handed, not 3L",), (), ("spare",), ("this end: H22 arm 5", "other end: H23")]
    for piece in (piece for placed in sheet.labels for piece in placed.composition.pieces):
        assert not isinstance(piece, FilledShape) or len(piece.points) == 4  # a class band, no arrow
        assert not isinstance(piece, Words) or not piece.white


@pytest.mark.parametrize("kind", ["hub-round", "hub-hex"])
def test_marks_of_a_hub_point_along_its_arms(kit, kind):
    """Seen from the hub's middle, the tip of each mark lies at the azimuth of an arm, up being the label's top."""
    for sheet in kind_sheets(kit, kind)[0]:
        for placed in sheet.labels:
            part = kit.part(placed.label.headline)
            composed = placed.composition
            picture = next(p for p in composed.pieces if isinstance(p, PlacedDrawing))
            tips = [item.points[0] for item in picture.drawing.items if isinstance(item, Polygon) and item.filled]
            seen = sorted(math.degrees(math.atan2(x - composed.width_mm / 2, composed.height_mm / 2 - y)) % 360
                          for x, y in tips)
            if part.made_for is not None:
                arms = [arm.azimuth_deg for arm in kit.frame.hub(part.made_for).arms]
                assert seen == pytest.approx(sorted(arms), abs=1e-6)
            else:
                gaps = next(c.gaps_deg for c in kit.frame.hub_classes if c.name == part.part_class)
                turned = [b - a for a, b in zip(seen, [*seen[1:], seen[0] + 360], strict=True)]
                assert turned == pytest.approx(list(gaps), abs=1e-6)


def test_hub_faces_keep_id_and_symbol_large(kit):
    for sheet in kind_sheets(kit, "hub-round")[0]:
        for placed in sheet.labels:
            pieces = placed.composition.pieces
            headline = next(p for p in pieces if isinstance(p, Words) and p.text == placed.label.headline)
            assert headline.size_mm * FONT_CAP >= 0.006 * 700
            assert next(p for p in pieces if isinstance(p, SymbolMark)).module_mm >= 0.7


def test_bags_and_bundles_hold_every_part_once(kit):
    placed = [part for part in kit.parts if part.made_for is not None]
    inside = Counter(part_id for label in (*bag_labels(kit), *bundle_labels(kit)) for part_id in label.contents)
    assert inside == Counter(part.id for part in placed)
    for label in bundle_labels(kit):
        parts = [kit.part(part_id) for part_id in label.contents]
        assert len({(part.part_class, kit.frame.level_of(part.made_for)) for part in parts}) == 1
        assert len(parts) <= kit.design.labels.bundle_struts
    spares = Counter(part_id for label in box_labels(kit) for part_id in label.contents)
    assert spares == Counter(part.id for part in kit.parts if part.is_spare)


def test_the_symbol_of_a_bag_opens_the_page_of_its_ring(kit):
    app = flask.Flask("site")
    app.register_blueprint(place.bp)
    site = app.url_map.bind("10.0.0.1:8000")
    for label in bag_labels(kit):
        path = label.symbol_text.removeprefix("http://10.0.0.1:8000")
        assert site.match(path) == ("place.ring", {"number": int(label.headline.removeprefix("RING "))})


def test_a_box_that_cannot_list_all_gets_several_labels(kit):
    small = with_design(kit, "labels", box_width_mm=60.0, box_height_mm=50.0)
    labels = bag_labels(small, ["H22"])
    assert [label.title for label in labels] != ["Ring 2 hubs"]
    every = bag_labels(small)
    assert Counter(i for label in every for i in label.contents) == Counter(
        part.id for part in kit.parts if part.kind == "hub" and part.made_for)


def test_a_tube_too_thick_for_one_strip_gets_two(kit, tmp_path):
    thick = with_design(kit, "strut", outer_mm=100.0)
    sheets, stock = kind_sheets(thick, "wrap", ["S073.1"])
    assert [p.label.title for s in sheets for p in s.labels] == [
        "OH-S073-C end 1, strip 1 of 2", "OH-S073-C end 1, strip 2 of 2"]
    assert stock.label_height_mm == pytest.approx(50.0 * math.pi)


def test_struts_too_thin_for_symbols_are_said_once(kit, tmp_path):
    thin = with_design(kit, "strut", outer_mm=16.0)
    assert [str(w) for w in write_kind(thin, tmp_path / "part.pdf", "part", part_ids=["S001", "S002"])] == [
        "all struts: struts of 16 mm are too thin for a symbol that can be read round the curve; fold each label into "
        "a flag, or print tags (--kind tag)"]
    assert write_kind(thin, tmp_path / "tag.pdf", "tag", part_ids=["S001"]) == ()


def test_pages_of_a_roll_have_the_size_of_the_label(kit, tmp_path):
    write_kind(kit, tmp_path / "roll.pdf", "part", part_ids=["S073"], on_roll=True)
    pages = pypdf.PdfReader(tmp_path / "roll.pdf").pages
    assert len(pages) == 2
    assert [float(n) / POINTS_PER_MM for n in pages[0].mediabox[2:]] == pytest.approx([100.0, 50.0], abs=0.01)
    write_kind(kit, tmp_path / "wrap.pdf", "wrap", part_ids=["S073.1"], on_roll=True)
    page = pypdfium2.PdfDocument(tmp_path / "wrap.pdf")[0]
    picture = page.render(scale=200 / 72, grayscale=True).to_numpy().squeeze()
    assert [code.text for code in zxingcpp.read_barcodes(picture)] == ["http://10.0.0.1:8000/P/OH-S073-C.1"] * 14


def test_names_with_letters_of_other_languages(kit, tmp_path):
    polish = with_design(kit, "frame", name="Sad w Łodzi, größer")
    assert write_kind(polish, tmp_path / "bag.pdf", "bag") == ()
    assert "Sad w Łodzi, größer" in pypdf.PdfReader(tmp_path / "bag.pdf").pages[0].extract_text()
    japanese = with_design(kit, "frame", name="日 Hall")
    assert str(write_kind(japanese, tmp_path / "part.pdf", "part")[0]) == (
        'margin: the font has no 日, needed for "日 Hall"; choose another frame.name in design.toml')


@pytest.mark.parametrize(("asked", "file", "pages"), [
    (["--kind", "bag"], "labels-bag.pdf", 2),
    (["--kind", "wrap", "--roll", "S073", "h22"], "labels-wrap-roll-again.pdf", 1),
    (["S073.2", "--start", "14"], "labels-again.pdf", 1),
])
def test_the_command_writes_any_kind(kit, tmp_path, asked, file, pages):
    write_kit(tmp_path, kit)
    done = CliRunner().invoke(main, ["labels", str(tmp_path), *asked])
    assert done.exit_code == 0, done.output
    assert len(pypdf.PdfReader(tmp_path / "paper" / file).pages) == pages


def test_the_command_refuses_in_words(kit, tmp_path):
    write_kit(tmp_path, kit)
    done = CliRunner().invoke(main, ["labels", str(tmp_path), "--kind", "wrap", "H22"])
    assert done.exit_code == 2
    assert "raisebook: there are no labels of the kind wrap for H22; strips are for struts" in done.output
    assert not list(tmp_path.glob("**/*.pdf*"))


def hub_moves(kit):
    """A hub and another place that it fits only with its arms turned."""
    part = kit.by_place["H38"]
    for other in kit.frame.hubs:
        for turn in hub_turns(kit, part, other.name):
            numbers = tuple(turn.place_arm(arm) for arm, _ in sorted(turn.arms))
            if other.name != "H38" and numbers[0] != 1:
                return part, other, numbers
    raise AssertionError("no such hub in the demo kit")


def test_a_hub_at_a_new_place_gets_new_arm_numbers_where_the_old_ones_were(kit):
    part, hub, turn = hub_moves(kit)
    label, arms = new_place_labels(kit, NewPlace(part.id, hub.name, turn))
    assert label.lines[:2] == (f"new place {hub.name}", f"old arm 1 is now arm {turn[0]}")
    assert [tag.headline for tag in arms.tags] == [str(number) for number in turn]
    assert [tag.words for tag in arms.tags] == [hub.arms[number - 1].strut for number in turn]
    assert arms.tags[0].small == f"{hub.name} arm {turn[0]}, was arm 1"


def test_a_strut_at_a_new_place_names_its_new_hubs(kit, tmp_path):
    old = kit.by_place["S073"]
    new = next(s for s in kit.frame.struts if s.strut_class == old.part_class and s.name != "S073")
    first, second = new_place_labels(kit, NewPlace(old.id, new.name))
    assert first.arrow == f"this end: {new.end_1.hub} arm {new.end_1.arm}"
    assert second.lines == (f"new place {new.name}", f"other end: {new.end_1.hub}")
    assert write_new_places(kit, tmp_path / "new.pdf", [NewPlace(old.id, new.name)], start=3) == ()
    assert pypdf.PdfReader(tmp_path / "new.pdf").pages[0].extract_text().count(f"new place {new.name}") == 4


@pytest.mark.parametrize(("move", "message"), [
    (NewPlace("OH-S073-C", "H22"), "OH-S073-C is a strut; H22 is no strut place of this frame. Name one from S001 to"),
    (NewPlace("OH-H22-T", "H61"), "OH-H22-T is of class 3R; H61 takes class 5. Choose a part of class 5."),
    (NewPlace("OH-H22-T", "H22", (1, 1, 2, 3, 4, 5)), "must be the numbers 1 to 6, each once, got 1, 1, 2, 3, 4, 5"),
])
def test_places_that_a_part_cannot_take(kit, tmp_path, move, message):
    with pytest.raises(PaperError) as caught:
        write_new_places(kit, tmp_path / "new.pdf", [move])
    assert message in str(caught.value)
    assert not list(tmp_path.iterdir())
