"""Strips round tubes: what faces up, what is left out, sizes."""

import importlib.util
import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.curve import module_on_tube_mm, reading_deg
from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label
from labels.pieces import FilledShape, SymbolMark, ThinLine, Words
from labels.symbol import QUIET_ZONE
from labels.textblock import CLEAR_CAP_MM
from labels.wrap import compose_wrap

_spec = importlib.util.spec_from_file_location("photos", Path(__file__).parent / "photos.py")
photos = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(photos)

ADDRESS = "http://10.0.0.1:8000/P/OH-S073-C.1"

GLUE_WORDS, CUT_WORDS = "stick this edge first", "cut off"


def strip(tube_mm=35.0, width_mm=90.0, overlap_mm=14.0, **changes):
    label = Label("OH-S073-C", ("other end: H31",), 3, "class C", "this end: H22 arm 4", arrow_up=False,
                  symbol_text=ADDRESS, form="wrap", tube_mm=tube_mm, glue_words=GLUE_WORDS, cut_words=CUT_WORDS,
                  **changes)
    return compose_wrap(label, (width_mm, math.pi * tube_mm + overlap_mm))


def extent(piece):
    """Left, top, right, bottom [mm]."""
    if isinstance(piece, SymbolMark):
        side = piece.symbol.full_size * piece.module_mm
        return piece.x_mm, piece.y_mm, piece.x_mm + side, piece.y_mm + side
    if isinstance(piece, Words):
        width = unit_width(piece.text, bold=piece.bold) * piece.size_mm
        left = piece.x_mm - (width / 2 if piece.anchor == "middle" else 0)
        return left, piece.y_mm - piece.size_mm * CAP_HEIGHT, left + width, piece.y_mm
    points = piece.points if isinstance(piece, FilledShape) else (piece.start, piece.end)
    return (min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points))


def test_id_and_arrow_come_round_every_quarter_turn():
    made = strip()
    assert made.warnings == ()
    ids = [p for p in made.pieces if isinstance(p, Words) and p.text == "OH-S073-C"]
    turns_deg = [p.y_mm / (35.0 * math.pi) * 360 for p in ids]
    assert [b - a for a, b in pairwise(turns_deg)] == pytest.approx([90.0] * 3)
    assert all(p.size_mm * CAP_HEIGHT >= CLEAR_CAP_MM for p in ids)
    arrows = [p for p in made.pieces if isinstance(p, FilledShape) and len(p.points) == 5]
    assert len(arrows) == 4
    assert all(sorted(x for x, _ in arrow.points)[0] < sorted(x for x, _ in arrow.points)[1] for arrow in arrows)


def test_round_a_thick_tube_they_come_more_often_and_the_id_stays_the_largest():
    made = strip(100.0)
    ids = [p for p in made.pieces if isinstance(p, Words) and p.text == "OH-S073-C"]
    assert len(ids) == 8
    assert all(p.size_mm <= 0.9 * ids[0].size_mm + 1e-9 for p in made.pieces if isinstance(p, Words) and p not in ids)


def marks_of(made):
    return [piece for piece in made.pieces if isinstance(piece, SymbolMark)]


@pytest.mark.parametrize("tube_mm", [35.0, 50.0, 100.0])
def test_middles_of_symbols_are_within_reading_angle_of_each_other_also_at_the_seam(tube_mm):
    made = strip(tube_mm)
    marks = marks_of(made)
    module, symbol = marks[0].module_mm, marks[0].symbol
    middles = sorted(mark.y_mm + symbol.full_size * module / 2 for mark in marks)
    gaps_deg = [math.degrees((b - a) / (tube_mm / 2)) for a, b in pairwise([*middles, middles[0] + tube_mm * math.pi])]
    assert max(gaps_deg) / 2 < reading_deg(tube_mm, module, symbol.size)
    assert not [w for w in made.warnings if w.text == "QR symbol"]


@pytest.mark.parametrize("tube_mm", [35.0, 60.0])
def test_a_walk_round_the_pole_meets_a_symbol_from_everywhere(tube_mm):
    """Rendered from the PDF, laid round the pole, its corner cut off; the bench goes round in steps of 3°."""
    made = strip(tube_mm)
    directions_deg = [0, 6, 13, 20, 27, 33, *range(60, 346, 30), 346, 353]      # mostly where columns have their seams
    seen = list(photos.walk(made, marks_of(made), tube_mm, np.random.default_rng(4), directions_deg))
    assert [direction for direction, texts in zip(directions_deg, seen, strict=True) if texts != {ADDRESS}] == []


def steps_of(made, tube_mm):
    """The dashed lines along the tube that the corner is cut off by."""
    return [p for p in made.pieces if isinstance(p, ThinLine) and p.start[1] == p.end[1] < tube_mm]


@pytest.mark.parametrize(("tube_mm", "width_mm", "overlap_mm"), [(35.0, 90.0, 14.0), (29.0, 110.0, 14.0)])
def test_no_symbol_is_covered_or_cut_where_the_strip_closes(tube_mm, width_mm, overlap_mm):
    """From each step of the edge on once round the pole, symbols are whole, with half their margin."""
    made = strip(tube_mm, width_mm, overlap_mm)
    steps = steps_of(made, tube_mm)
    assert CUT_WORDS in [p.text for p in made.pieces if isinstance(p, Words)]
    assert max(step.end[1] for step in steps) < overlap_mm
    for mark in marks_of(made):
        quiet = QUIET_ZONE / 2 * mark.module_mm
        left, top, right, bottom = (side + inward * quiet for side, inward in
                                    zip(extent(mark), (1, 1, -1, -1), strict=True))
        edge = next((s.end[1] for s in steps if s.start[0] <= left + 1e-6 and right <= s.end[0] + 1e-6), 0.0)
        assert edge - 1e-6 <= top
        assert bottom <= edge + math.pi * tube_mm + 1e-6


def test_what_keeps_symbols_from_being_read_all_round_is_said():
    assert str(strip(25.0).warnings[-1]) == (
        "OH-S073-C: from some sides of a tube of 25 mm the nearest symbol on a strip of 90 × 93 mm faces too far away "
        "to be surely read: turn the tube a little, take its photo inside the page, or choose a larger "
        "labels.wrap_width_mm")
    assert str(strip(overlap_mm=5.0).warnings[-1]) == (
        "OH-S073-C: at the seam of a strip of 90 × 115 mm round a tube of 35 mm no symbol is surely read: turn the "
        "tube a little, or choose labels.wrap_overlap_mm = 10")
    for made in (strip(25.0, 140.0, 16.0), strip(overlap_mm=10.0)):
        assert not [w for w in made.warnings if w.text == "QR symbol"]


def test_class_bands_go_all_the_way_round():
    bars = [p for p in strip().pieces if isinstance(p, FilledShape) and len(p.points) == 4]
    assert len(bars) == 3
    assert all(extent(bar)[1] == 0 and extent(bar)[3] == pytest.approx(35.0 * math.pi) for bar in bars)


def test_the_blank_edge_says_that_it_is_stuck_first():
    made = strip()
    glue = next(p for p in made.pieces if isinstance(p, Words) and p.text == GLUE_WORDS)
    assert glue.y_mm > 35.0 * math.pi
    assert not any(p.text == GLUE_WORDS for p in strip(overlap_mm=0.0).pieces if isinstance(p, Words))


def test_a_tube_too_thin_for_a_symbol_is_said():
    made = strip(16.0)
    assert not any(isinstance(p, SymbolMark) for p in made.pieces)
    assert ("OH-S073-C: a tube of 16 mm is too thin for a symbol that can be read round the curve on a strip of "
            "90 × 64 mm; hang a tag on it") in [str(w) for w in made.warnings]
    assert module_on_tube_mm(20.0, 25) == 0.5


@settings(deadline=None, max_examples=80)
@given(st.floats(6, 250), st.floats(30, 200), st.floats(0, 40), st.sampled_from([None, 203, 300]))
def test_on_any_tube_pieces_stay_inside_and_nothing_vanishes_unsaid(tube_mm, width_mm, overlap_mm, dpi):
    label = Label("OH-S073-C", ("other end: H31",), 3, "class C", "this end: H22 arm 4", arrow_up=False,
                  symbol_text=ADDRESS, form="wrap", tube_mm=tube_mm)
    height_mm = math.pi * tube_mm + overlap_mm
    made = compose_wrap(label, (width_mm, height_mm), printer_dpi=dpi)
    warned = {w.text for w in made.warnings}
    said = " ".join(p.text for p in made.pieces if isinstance(p, Words))
    if label.headline not in warned:
        for piece in made.pieces:
            left, top, right, bottom = extent(piece)
            if isinstance(piece, SymbolMark):       # its quiet zone goes on at the other side of the seam
                over_mm = QUIET_ZONE / 2 * piece.module_mm + (25.4 / dpi if dpi else 0.0)
                top, bottom = top + over_mm, bottom - over_mm
            assert left >= -1e-6
            assert top >= -1e-6
            assert right <= width_mm + 1e-6
            assert bottom <= height_mm + 1e-6
    for text in ("other end: H31", "class C", "this end: H22 arm 4"):
        assert text in said or text in warned
    marks = [p for p in made.pieces if isinstance(p, SymbolMark)]
    assert marks or "QR symbol" in warned
    for mark in marks:
        left, top, right, bottom = extent(mark)
        assert mark.module_mm >= 0.4999
        for length_mm in (mark.x_mm, mark.y_mm, mark.module_mm) if dpi else ():
            assert length_mm * dpi / 25.4 == pytest.approx(round(length_mm * dpi / 25.4), abs=1e-6)
        for other in made.pieces:
            if isinstance(other, SymbolMark):       # neighbours share a quiet zone
                across, along = abs(other.y_mm - mark.y_mm), abs(other.x_mm - mark.x_mm)
                apart = (mark.symbol.size + QUIET_ZONE) * mark.module_mm - (25.4 / dpi if dpi else 1e-6)
                assert other is mark or max(across, along) >= apart
            elif not (isinstance(other, ThinLine) or (isinstance(other, Words) and other.text == GLUE_WORDS)):
                its_left, its_top, its_right, its_bottom = extent(other)
                beside = its_right <= left + 1e-6 or its_left >= right - 1e-6
                assert beside or its_bottom <= top + 1e-6 or its_top >= bottom - 1e-6
