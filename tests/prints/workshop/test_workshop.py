"""Workshop sheets and hub blanks: read back by ezdxf, pikepdf, pypdf and pypdfium2, and compared with the frame."""

import io
import math
import re
from collections import Counter
from collections.abc import Iterator

import ezdxf
import numpy as np
import pikepdf
import pypdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.kit import build_kit
from fieldapp.kit.building import hindrances
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.hub_sizes import bore_needed_mm, dips, hub_sizes
from fieldapp.prints.common import WorkshopSheet
from fieldapp.prints.workshop import write_workshop
from fieldapp.prints.workshop.blank import blank_drawing, outline
from fieldapp.prints.workshop.cuts import cut_pages
from fieldapp.prints.workshop.pictures import true_size
from fieldapp.prints.workshop.turns import Blank, blanks
from labels.cut_drawing import flattened
from labels.page import Outline

PDFS = ("cut-list.pdf", "hub-sheets.pdf", "break-test.pdf")


def changed(**sections):
    design = orchard_hall()
    return design.model_copy(update={name: getattr(design, name).model_copy(update=fields)
                                     for name, fields in sections.items()})


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def cutting(kit):
    return cutting_plan(kit)


@pytest.fixture(scope="module")
def folder(kit, cutting, tmp_path_factory):
    folder = tmp_path_factory.mktemp("workshop")
    write_workshop(kit, cutting, folder)
    return folder


def read_dxf(folder, name):
    return ezdxf.read(io.StringIO((folder / "workshop" / f"hub-{name}.dxf").read_bytes().decode("utf-8")))


def azimuth_deg(x, y):
    """Clockwise from up, y upward as in DXF."""
    return math.degrees(math.atan2(x, y)) % 360.0


def lines_on(document, layer):
    return [line.get_points("xy") for line in document.modelspace().query(f"LWPOLYLINE[layer=='{layer}']")]


def places_by_layer(document) -> Iterator[tuple[str, list[str]]]:
    for note in document.modelspace().query("TEXT"):
        if found := re.match(r'(?:Layer "(.+)"|All places): ((?:H\d+ ?)+)', note.dxf.text):
            yield found[1] or "up and arm numbers", found[2].split()


def test_arms_of_every_blank_point_where_the_frame_has_them(kit, folder):
    seen = Counter()
    for hub_class in kit.frame.hub_classes:
        document = read_dxf(folder, hub_class.name)
        ends = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in lines_on(document, "strut ends")]
        for layer, places in places_by_layer(document):
            up = azimuth_deg(*lines_on(document, layer)[0][0])        # the arrow begins at its point
            measured = sorted(((azimuth_deg(x, y) - up + 0.005) % 360.0 - 0.005, math.hypot(x, y)) for x, y in ends)
            for place in places:
                arms = kit.frame.hub(place).arms
                assert [a for a, _ in measured] == pytest.approx([arm.azimuth_deg for arm in arms], abs=0.01)
                assert [r for _, r in measured] == pytest.approx(
                    [95.0 * math.cos(math.radians(arm.dip_deg)) for arm in arms], abs=0.001)
                seen[place] += 1
    assert seen == Counter(hub.name for hub in kit.frame.hubs)


def test_outline_has_the_arms_of_the_frame(kit, folder):
    for hub_class in kit.frame.hub_classes:
        document = read_dxf(folder, hub_class.name)
        (shape,) = document.modelspace().query("LWPOLYLINE[layer=='outline']")
        corners = shape.get_points("xyb")
        tips = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
                if a[2] == 0.0 and math.dist(a[:2], b[:2]) == pytest.approx(45.0 - 2 * 4.5)]
        ends = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in lines_on(document, "strut ends")]
        assert [azimuth_deg(*tip) for tip in tips] == pytest.approx([azimuth_deg(*end) for end in ends], abs=1e-6)
        for tip, dip_deg in zip(tips, [math.degrees(math.acos(math.hypot(*end) / 95.0)) for end in ends], strict=True):
            length_mm = 95.0 + 47.5                                             # reach and depth of insertion
            assert math.hypot(*tip) == pytest.approx(length_mm * math.cos(math.radians(dip_deg)))


def test_handed_blanks_are_mirror_images_and_others_their_own(kit, folder):
    corners = {each.name: np.array(read_dxf(folder, each.name).modelspace().query("LWPOLYLINE[layer=='outline']")
                                   .first.get_points("xy")) for each in kit.frame.hub_classes}
    handed = [each for each in kit.frame.hub_classes if each.handed == "left"]
    assert [each.name for each in handed] == ["2L", "3L"]
    for each in handed:
        mirrored = corners[each.mirror] * (-1.0, 1.0)
        assert np.abs(corners[each.name][:, None] - mirrored[None]).sum(axis=2).min(axis=1).max() < 1e-4
        assert np.abs(corners[each.name][:, None] - corners[each.mirror][None]).sum(axis=2).min(axis=1).max() > 1.0


@pytest.mark.parametrize(("frame", "tolerance_deg", "off_deg"), [
    ({}, 0.05, 1e-5),
    ({"frequency": 4, "cut": "full"}, 0.05, 1e-5),
    ({"frequency": 6, "cut": "1/2", "tolerance_deg": 1.5}, 1.5, 1.5),       # classes of hubs that are not quite alike
])
def test_every_turn_has_the_arms_dips_and_struts_of_its_places(frame, tolerance_deg, off_deg):
    built = build_frame(changed(frame=frame))
    seen = Counter()
    for blank in blanks(built, tolerance_deg):
        for turn in blank.turns:
            for place in turn.places:
                arms = {arm.number: arm for arm in built.hub(place).arms}
                assert sorted(turn.arm_numbers) == sorted(arms)
                for number, angle, dip, letters in zip(turn.arm_numbers, blank.arms_deg, blank.dips_deg,
                                                       blank.strut_classes, strict=True):
                    off = (angle - turn.up_deg - arms[number].azimuth_deg + 180.0) % 360.0 - 180.0
                    assert (off, dip) == pytest.approx((0.0, arms[number].dip_deg), abs=off_deg)
                    assert built.strut(arms[number].strut).strut_class in letters.split("/")
                seen[place] += 1
    assert seen == Counter(hub.name for hub in built.hubs)


def test_files_pass_the_audit_and_are_the_same_every_time(kit, cutting, folder, tmp_path):
    (tmp_path / "workshop").mkdir()
    (tmp_path / "workshop" / "hub-99.dxf").write_text("a class of an older design")
    own = tmp_path / "workshop" / "hub-6-two-on-a-sheet.dxf"
    own.write_text("the maker's own")
    write_workshop(kit, cutting, tmp_path)
    assert own.read_text() == "the maker's own"
    own.unlink()
    names = sorted(path.relative_to(tmp_path) for path in tmp_path.rglob("*.*"))
    assert names == sorted(path.relative_to(folder) for path in folder.rglob("*.*"))
    assert all((tmp_path / name).read_bytes() == (folder / name).read_bytes() for name in names)
    for each in kit.frame.hub_classes:
        audit = read_dxf(folder, each.name).audit()
        assert (audit.errors, audit.fixes) == ([], [])


def test_pdfs_are_sound_and_carry_their_fonts(folder):
    for name in PDFS:
        with pikepdf.open(folder / "paper" / name) as pdf:
            assert pdf.check_pdf_syntax() == []
            assert str(pdf.docinfo["/Title"]).startswith("Orchard Hall: ")
            assert str(pdf.docinfo["/Creator"]) == "raisebook"
            for page in pdf.pages:
                assert [float(x) for x in page.mediabox[2:]] == pytest.approx([595.276, 841.89], abs=0.01)
                for font in page.resources.Font.values():
                    if font.Subtype == "/TrueType":
                        assert "/FontFile2" in font.FontDescriptor


def text_of(path):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(path).pages)


def test_every_part_stands_once_on_its_list(kit, folder):
    for name, kind in (("cut-list.pdf", "strut"), ("hub-sheets.pdf", "hub")):
        found = Counter(re.findall(r"OH-[HS]\d+-.", text_of(folder / "paper" / name)))
        assert found == Counter(part.id for part in kit.parts if part.kind == kind)


def test_axial_angles_of_the_three_frequency_sphere_are_printed(folder):
    """Kenner, Geodesic Math and How to Use It, 1976, class I, f = 3: 79.962°, 78.359°, 78.100° (from memory)."""
    text = text_of(folder / "paper" / "hub-sheets.pdf")
    assert all(angle in text for angle in ("79.96°", "78.36°", "78.10°"))


def test_printed_ruler_measures_true(folder):
    """The line of 100 mm at the foot of a template, in a picture of ten dots a millimetre."""
    document = pypdfium2.PdfDocument(folder / "paper" / "hub-sheets.pdf")
    number = next(at for at, page in enumerate(document) if "true size" in page.get_textpage().get_text_range())
    number = next(at for at in range(number, len(document))
                  if "Template" in document[at].get_textpage().get_text_range())
    dots = np.array(document[number].render(scale=254 / 72, grayscale=True).to_pil()) < 160
    foot = dots[2600:, 100:1400]
    longest = max((np.flatnonzero(np.diff(np.concatenate(([0], row, [0])).astype(int))) for row in foot),
                  key=lambda edges: max(edges[1::2] - edges[::2], default=0))
    assert max(longest[1::2] - longest[::2]) == pytest.approx(1000, abs=6)


def test_template_is_in_true_size_and_cut_off_at_the_paper(kit):
    blank = blanks(kit.frame, 0.05)[0]
    drawing, whole = true_size(kit, blank, (190.0, 240.0))
    assert not whole
    assert all(0.0 <= x <= 190.0 and 0.0 <= y <= 240.0 for line in drawing.items for x, y in (line.start, line.end))
    across = [math.dist(line.start, line.end) for line in drawing.items if line.role == "note" and line.width_mm == 0.3]
    assert max(across) == pytest.approx(45.0)
    assert true_size(kit, blank, (300.0, 300.0))[1]


def test_bars_are_drawn_to_scale(kit, cutting):
    sheet = WorkshopSheet(kit, "Cut list")
    page = cut_pages(sheet, cutting)[2](sheet, 3)
    bars = [item for item in page.items if isinstance(item, Outline) and item.height_mm == 9.0]
    assert [bar.width_mm for bar in bars] == pytest.approx([182.0] * len(cutting.by_section[0][1].patterns))
    letters = [item for item in page.items if getattr(item, "text", "") == "D"]
    assert letters[1].x_mm - letters[0].x_mm == pytest.approx((1129.71 + 3.0) / 2400.0 * 182.0, abs=0.01)


def test_dip_figures_follow_from_the_angle(kit):
    blank, sizes = blanks(kit.frame, 0.05)[5], hub_sizes(kit.design)       # class 4: six arms of 11.900°
    first = dips(blank, sizes)[0]
    assert first.drop_mm == pytest.approx(300.0 * math.tan(math.radians(11.900)), abs=0.01)
    assert first.at_mouth_mm - first.at_tip_mm == pytest.approx(first.wedge_mm)
    assert first.at_mouth_mm == pytest.approx(-first.at_tip_mm)            # all alike: tilted about the middle
    bore_mm = bore_needed_mm(blank, sizes, kit.design.hub.held_by.fit)
    assert bore_mm == pytest.approx(2 * math.hypot(22.5, 12.0 + first.wedge_mm / 2))


def test_arms_that_run_into_each_other_are_named_and_not_drawn():
    kit = build_kit(changed(hub={"arm_depth_mm": 90.0}))
    found = blanks(kit.frame, 0.05)
    assert [each.name for each in hindrances(kit.design, kit.frame)] == ["plate", "slot"]
    assert [layer.name for layer in blank_drawing(kit, found[0]).layers] == [
        "directions", "centre mark", "strut ends", "class", "up and arm numbers", "notes not cut"]


@pytest.mark.parametrize(("sections", "words"), [
    ({"labels": {"paper": "Letter"}, "frame": {"name": "Zażółć ß"}}, "Zażółć ß"),
    ({"frame": {"name": "日本亭"}}, "Kit OH"),
    ({"hub": {"joint": "bolted end"}}, "from hole to hole"),
    ({"hub": {"joint": "spring", "stiffness_out_nm_rad": 0.0, "stiffness_in_nm_rad": 0.0}}, "no blank is drawn"),
    ({"strut": {"section": "tube", "material": "S235", "outer_mm": 58.0, "wall_mm": 3.0}},
     "An arm of 45 × 24 mm needs 59.0 mm of bore"),
])
def test_other_designs(sections, words, tmp_path):
    kit = build_kit(changed(**sections))
    write_workshop(kit, cutting_plan(kit), tmp_path)
    assert words in text_of(tmp_path / "paper" / "hub-sheets.pdf").replace("\n", " ")


def test_break_test_says_what_the_evaluation_wants(folder):
    text = text_of(folder / "paper" / "break-test.pdf").replace("\n", " ")
    assert "raisebook arm-test LOAD LOAD LOAD --lever 600 --factor 0.75" in text     # 0.90 / 1.20, EN 1995-1-1
    assert "Goggles for everybody near" in text
    assert "do not replace a competent person" in text


@settings(max_examples=60)
@given(st.lists(st.floats(42.0, 150.0), min_size=2, max_size=8))
def test_outlines_have_no_sharp_corner(gaps):
    """Roots run tangentially into arms and middle, whatever the angles: a notch would start a crack."""
    angles = np.concatenate(([0.0], np.cumsum(gaps)))[:-1] * (360.0 / sum(gaps))
    if min(np.diff([*angles, 360.0])) < 42.0:
        return
    blank = Blank(None, tuple(angles.tolist()), (11.0,) * len(angles), ("A",) * len(angles), ())
    points = np.array(flattened(outline(blank, hub_sizes(orchard_hall())), 3.0))
    steps = np.diff(points, axis=0)
    steps = steps[np.hypot(*steps.T) > 1e-6]
    heading = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
    turns = (np.diff([*heading, heading[0]]) + 180.0) % 360.0 - 180.0
    assert np.abs(turns).max() < 3.5
    assert turns.sum() == pytest.approx(360.0)                              # once round, clockwise on paper
