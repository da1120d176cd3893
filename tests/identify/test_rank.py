"""What a heap may be: a few kits whose frame is known, told right, told as likely, told as unknown."""

import json
from itertools import pairwise

import numpy as np
import pytest
from click.testing import CliRunner
from measured_heaps import a_kit, dome, measured, same

from fieldapp.cli import main
from fieldapp.identify.heap import HubPile, MeasuredHeap, MeasuredStruts, TapeReading
from fieldapp.identify.rank import identify
from fieldapp.identify.shapes import known_shapes
from fieldapp.identify.told import heap_lines

HALL = (3200.0, 95.0)
"""Radius and take-up of the demo's frame [mm]."""


@pytest.fixture(scope="module")
def hall():
    """Frequency 3, 5/9, level: two in ten missing, three foreign, a tape of 3 mm."""
    known = dome(3, "5/9", level=True)
    return known, identify(measured(np.random.default_rng(5), known, HALL, error=3, missing=0.2, foreign=3))


def test_a_heap_with_gaps_and_foreign_pieces_is_told(hall):
    known, found = hall
    best = found.matches[0]
    assert found.sure == "sure"
    assert same(best.known, known)
    assert best.known.level is True
    assert best.diameter_mm[0] <= 2 * HALL[0] <= best.diameter_mm[1]
    assert best.take_up_mm[0] <= HALL[1] <= best.take_up_mm[1]
    assert round(best.foreign) == 3
    assert sum(count for _mm, count in best.lacking) == known.total - found.heap.struts + 3


def test_a_frame_of_which_no_piece_can_be_is_no_stumbling_block():
    """A heap of the bench beside which some frame has all rows foreign: its radius is then not known at all."""
    known, _radius, _take_up, _errors, heap = a_kit(np.random.default_rng([52806417, 163]))
    found = identify(heap)
    assert found.sure == "unknown" or same(found.matches[0].known, known)


def test_a_stretched_tape_gives_the_same_frame_larger_and_the_words_say_it_cannot_be_seen(hall):
    known, found = hall
    pieces = tuple(MeasuredStruts(1.01 * p.length_mm, p.plus_minus_mm, p.count) for p in found.heap.pieces)
    longer = identify(MeasuredHeap(pieces, found.heap.hubs))
    assert longer.sure == "sure"
    assert same(longer.matches[0].known, known)
    assert longer.matches[0].fit.radius_mm / HALL[0] == pytest.approx(1.01, abs=0.004)
    assert any("wrong in proportion" in line for line in heap_lines(longer))


def test_what_is_no_sphere_is_unknown_with_the_nearest_and_how_far_off():
    lengths = (400, 640, 900, 1310, 1500)
    found = identify(MeasuredHeap(tuple(MeasuredStruts(mm, 2.0, 24) for mm in lengths)))
    said = list(heap_lines(found))
    assert found.sure == "unknown"
    assert said[1].startswith("Unknown: nearest is ")
    assert f"off by {found.matches[0].off_mm:.0f} mm" in said[1]
    assert found.matches[0].off_mm > 20


@pytest.mark.thorough
def test_one_length_alone_does_not_part_diameter_and_take_up_until_a_span_does():
    whole = dome(1, "full")
    pieces = tuple(MeasuredStruts(round(1000 * whole.chords[0] - 160), 2.0) for _ in range(30))
    alone = identify(MeasuredHeap(pieces, (HubPile(5, 12),))).matches[0]
    assert np.diff(alone.diameter_mm) > 200
    assert alone.diameter_mm[0] <= 2000 <= alone.diameter_mm[1]
    taped = identify(MeasuredHeap(pieces, (HubPile(5, 12),), TapeReading(2003.0, 5.0)))
    assert taped.sure != "unknown"
    assert abs(2 * taped.matches[0].fit.radius_mm - 2000) < 10
    assert 60 < taped.matches[0].take_up_mm[0] < 80 < taped.matches[0].take_up_mm[1] < 100


@pytest.mark.thorough
def test_a_wrong_span_is_said():
    known = dome(3, "5/9", level=True)
    heap = measured(np.random.default_rng(8), known, HALL, error=1, missing=0.0, foreign=0)
    found = identify(MeasuredHeap(heap.pieces, heap.hubs, TapeReading(HALL[0] * known.span + 120, 5.0)))
    assert any("the span that was measured is" in line.lower() for line in heap_lines(found))


@pytest.mark.thorough
def test_frames_that_a_heap_cannot_part_come_once():
    names = [(one.base, one.steps, one.division, one.cut) for one in known_shapes(65, least=0.99, most=1.01)]
    assert ("icosahedron", (2, 0), "equal chords", "1/2") in names
    assert ("icosahedron", (2, 0), "equal arcs", "1/2") not in names


def test_the_command_prints_words_and_a_record(tmp_path):
    """What was put on piles by eye is never sure."""
    heap = tmp_path / "heap.csv"
    heap.write_text("length_mm, plus_minus_mm, count\n926,3,30\n1086,3,10\n1101,3,55\n1130,3,70\n"
                    "arms, count\n4, 15\n5, 6\n6, 40\n", encoding="utf-8")
    words = CliRunner().invoke(main, ["identify", str(heap)]).output
    assert "Likely: icosahedron, frequency 3, class I, equal chords, cut 5/9, level base" in words
    assert "strength as unknown" in words
    record = json.loads(CliRunner().invoke(main, ["identify", str(heap), "--json"]).output)
    assert record["answer"] == "likely"
    assert record["frames"][0]["lacking"] == []
    assert all(one["share"] >= other["share"] for one, other in pairwise(record["frames"]))
    heap.write_text("length_mm\nlong\n", encoding="utf-8")
    refused = CliRunner().invoke(main, ["identify", str(heap)])
    assert (refused.exit_code, "length_mm is 'long'" in refused.stderr) == (2, True)


def test_a_heap_of_which_nothing_fits_some_frames_is_still_compared():
    pieces = tuple(MeasuredStruts(float(mm), 1.0) for mm in np.geomspace(15, 15000, 40))
    assert identify(MeasuredHeap(pieces)).sure == "unknown"
