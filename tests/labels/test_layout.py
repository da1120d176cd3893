"""One label: what is kept, what is warned of, sizes in millimetres."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label, Tag
from labels.layout import compose
from labels.pieces import FilledShape, SymbolMark, ThinLine, Words
from labels.textblock import CLEAR_CAP_MM, LEAST_CAP_MM

STRUT = Label("OH-S073-C", ("other end: H31",), 3, "C", "this end: H22 arm 4", arrow_up=False,
              symbol_text="http://10.0.0.1:8000/P/OH-S073-C.1", footnote="10.0.0.1:8000", name="OH-S073-C end 1")
HUB = Label("OH-H22-A", ("left-handed, not 5R", "outside face"), 0, "class 5L", "up the frame",
            symbol_text="http://10.0.0.1:8000/P/OH-H22-A", footnote="10.0.0.1:8000")
TAGS = Label("OH-H22-A", tags=tuple(Tag(str(n), f"S{60 + n:03}", f"H22 arm {n}") for n in range(1, 7)),
             name="OH-H22-A arms")
SIZES = st.tuples(st.floats(20, 160), st.floats(8, 110))


def words(composition):
    return {piece.text: piece for piece in composition.pieces if isinstance(piece, Words)}


def symbol_of(composition):
    return next((piece for piece in composition.pieces if isinstance(piece, SymbolMark)), None)


def extent(piece):
    """Left, top, right, bottom of a piece; words from their capitals. [mm]"""
    if isinstance(piece, SymbolMark):
        side = piece.symbol.full_size * piece.module_mm
        return piece.x_mm, piece.y_mm, piece.x_mm + side, piece.y_mm + side
    if isinstance(piece, Words):
        width, cap = unit_width(piece.text, bold=piece.bold) * piece.size_mm, piece.size_mm * CAP_HEIGHT
        if piece.turned:
            return piece.x_mm - cap, piece.y_mm - width / 2, piece.x_mm, piece.y_mm + width / 2
        return piece.x_mm, piece.y_mm - cap, piece.x_mm + width, piece.y_mm
    points = piece.points if isinstance(piece, FilledShape) else (piece.start, piece.end)
    return (min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points))


@pytest.mark.parametrize("label", [STRUT, HUB])
def test_the_usual_label_holds_all_of_it_legibly(label):
    composed = compose(label, (99.0, 38.0))
    assert composed.warnings == ()
    said = words(composed)
    assert said[label.headline].size_mm * CAP_HEIGHT >= 0.006 * 700 or said[label.headline].turned
    for text in (*label.lines, label.arrow, label.band_letter):
        assert said[text].size_mm * CAP_HEIGHT >= 0.004 * 700
    assert symbol_of(composed).module_mm >= 0.8


@pytest.mark.parametrize("size", [(99.0, 38.0), (77.0, 45.0), (70.0, 60.0)])
def test_nothing_is_printed_as_large_as_the_id(size):
    sizes = [p.size_mm for p in compose(STRUT, size).pieces if isinstance(p, Words)]
    assert sorted(sizes)[-2] <= 0.9 * max(sizes) + 1e-9


def test_a_symbol_for_a_thin_pole_is_small_and_the_words_take_the_room():
    flat, round_pole = (compose(replace(STRUT, tube_mm=tube_mm), (99.0, 38.0)) for tube_mm in (0.0, 35.0))
    assert symbol_of(flat).module_mm > 1.0
    assert symbol_of(round_pole).module_mm == pytest.approx(math.radians(50) * 17.5 / 25)
    assert words(round_pole)[STRUT.arrow].size_mm > words(flat)[STRUT.arrow].size_mm
    assert symbol_of(compose(replace(STRUT, tube_mm=12.0), (99.0, 38.0))).module_mm == symbol_of(flat).module_mm


def test_bands_are_counted_out_behind_the_letter():
    shapes = [piece for piece in compose(STRUT, (99.0, 38.0)).pieces if isinstance(piece, FilledShape)]
    assert len(shapes) == 1 + STRUT.bands


def test_arrow_points_left_on_struts_and_up_on_hubs():
    pieces = compose(STRUT, (99.0, 38.0)).pieces
    left = max((p for p in pieces if isinstance(p, FilledShape)), key=lambda p: len(p.points))
    assert sorted(x for x, _ in left.points)[0] < sorted(x for x, _ in left.points)[1]
    up = next(p for p in compose(HUB, (99.0, 38.0)).pieces if isinstance(p, FilledShape))
    assert sorted(y for _, y in up.points)[0] < sorted(y for _, y in up.points)[1]


def test_too_small_a_label_names_label_and_text():
    warnings = [str(w) for w in compose(STRUT, (50.0, 25.0)).warnings]
    assert ('OH-S073-C end 1: "other end: H31" does not fit on a label of 50 × 25 mm and is left out; '
            "all of it fits from about 67 × 34 mm") in warnings


def test_a_printer_too_coarse_for_any_label_is_said_and_not_searched_for():
    said = [str(w) for w in compose(replace(STRUT, tube_mm=22.0), (99.0, 38.0), printer_dpi=72).warnings]
    assert any('"QR symbol" does not fit' in line and line.endswith("choose a finer printer") for line in said), said


def test_the_size_named_in_a_warning_is_enough():
    assert compose(STRUT, (50.0, 25.0)).warnings
    assert not compose(STRUT, (67.0, 34.0)).warnings


def test_where_the_arrow_finds_no_room_it_says_up_in_short():
    hub = replace(HUB, arrow_short="up")
    assert "up the frame" in words(compose(hub, (99.0, 38.0)))
    small = compose(hub, (60.0, 30.0))
    assert small.warnings == ()
    assert words(small)["up"].size_mm * CAP_HEIGHT >= LEAST_CAP_MM - 1e-6
    assert "up the frame" in [w.text for w in compose(HUB, (60.0, 30.0)).warnings]


def test_no_room_for_the_symbol_is_said_and_the_id_stays():
    composed = compose(STRUT, (40.0, 12.0))
    assert symbol_of(composed) is None
    assert "QR symbol" in [w.text for w in composed.warnings]
    assert words(composed)["OH-S073-C"].size_mm * CAP_HEIGHT >= CLEAR_CAP_MM


def test_an_id_too_long_for_the_label_is_printed_small_and_said():
    composed = compose(STRUT, (20.0, 8.0))
    assert "OH-S073-C" in words(composed)
    assert any("smaller than can be read at arm's length" in str(w) for w in composed.warnings)


@settings(deadline=None, max_examples=60)
@given(SIZES, st.sampled_from([STRUT, HUB, TAGS]), st.sampled_from([None, 203, 300, 600]))
def test_on_any_label_pieces_stay_inside_and_nothing_vanishes_unsaid(size, label, printer_dpi):
    composed = compose(label, size, printer_dpi=printer_dpi)
    for piece in composed.pieces:
        left, top, right, bottom = extent(piece)
        assert left >= -1e-6
        assert top >= -1e-6
        assert right <= size[0] + 1e-6
        assert bottom <= size[1] + 1e-6
    said = " ".join(text for text in words(composed))
    warned = {w.text for w in composed.warnings}
    for text in () if label.tags else (*label.lines, label.arrow, label.band_letter, label.footnote):
        assert text in said or text in warned
    symbol = symbol_of(composed)
    if symbol is None:
        assert label.tags or "QR symbol" in warned
    else:
        assert symbol.module_mm >= 0.5


@settings(deadline=None, max_examples=60)
@given(SIZES, st.sampled_from([STRUT, HUB]))
def test_no_piece_reaches_into_the_quiet_zone(size, label):
    composed = compose(label, size)
    symbol = symbol_of(composed)
    if symbol is None:
        return
    left, top, right, bottom = extent(symbol)
    for piece in composed.pieces:
        if piece is not symbol:
            its_left, its_top, its_right, its_bottom = extent(piece)
            beside = its_right <= left + 1e-6 or its_left >= right - 1e-6
            assert beside or its_bottom <= top + 1e-6 or its_top >= bottom - 1e-6


@settings(deadline=None, max_examples=60)
@given(SIZES, st.sampled_from([STRUT, HUB]))
def test_kept_words_are_legible(size, label):
    composed = compose(label, size)
    if any("smaller than" in str(w) for w in composed.warnings):
        return
    for text, piece in words(composed).items():
        if not piece.turned and text != label.footnote:
            assert piece.size_mm * CAP_HEIGHT >= LEAST_CAP_MM - 1e-6


@pytest.mark.parametrize("dpi", [203, 300])
def test_modules_are_whole_dots_of_a_thermal_printer(dpi):
    dots = symbol_of(compose(STRUT, (99.0, 38.0), printer_dpi=dpi)).module_mm * dpi / 25.4
    assert dots == pytest.approx(round(dots))
    assert dots >= 4


def test_scratch_resistance_costs_module_size_not_words():
    medium, quartile = (symbol_of(compose(STRUT, (99.0, 38.0), level=level)) for level in ("M", "Q"))
    assert quartile.symbol.level == "Q"
    assert quartile.symbol.version > medium.symbol.version
    assert quartile.module_mm < medium.module_mm


def test_tags_name_arm_strut_and_hub():
    composed = compose(TAGS, (99.0, 38.0))
    assert composed.warnings == ()
    said = words(composed)
    assert {"4", "S064", "H22 arm 4"} <= set(said)
    assert said["S064"].size_mm * CAP_HEIGHT >= CLEAR_CAP_MM
    cuts = [p for p in composed.pieces if isinstance(p, ThinLine)]
    assert len(cuts) == 3
    assert all(cut.dashed for cut in cuts)


def test_tags_too_small_are_named():
    warning = compose(TAGS, (30.0, 10.0)).warnings[0]
    assert str(warning).startswith('OH-H22-A arms: "1 S061" is printed smaller than can be read at arm\'s length')


def test_characters_that_the_font_has_not_are_named():
    composed = compose(Label("łódź 日", lines=("straße",)), (99.0, 38.0))
    assert [str(w) for w in composed.warnings] == [
        'łódź 日: the font has no 日, needed for "łódź 日"; choose other words in the design file']


def test_figures_are_equally_wide():
    """Rooms are shared between labels that differ in figures only."""
    for bold in (False, True):
        widths = {unit_width(figure, bold=bold) for figure in "0123456789"}
        assert math.isclose(min(widths), max(widths))
