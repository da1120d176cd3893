"""Faces of hubs: any set of arms, nothing on top of another thing, nothing left out unsaid."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.drawing import Polygon, Text
from labels.face import compose_face, hexagon_mm
from labels.fonts import CAP_HEIGHT, unit_width
from labels.label import Label, Spoke
from labels.pieces import FilledShape, PlacedDrawing, SymbolMark, Words


def face(azimuths_deg, form="round", size_mm=90.0, **changes):
    spokes = tuple(Spoke(azimuth, str(n), f"S{n:03}") for n, azimuth in enumerate(azimuths_deg, start=1))
    label = Label("OH-H22-T", ("right-handed", "outside face"), 0, "class 3R", "up the frame", form=form,
                  symbol_text="http://10.0.0.1:8000/P/OH-H22-T", spokes=spokes, **changes)
    return label, compose_face(label, (size_mm, size_mm) if form == "round" else hexagon_mm(size_mm))


def boxes(composition):
    """Every word, mark, arrow and symbol as (what, left, top, right, bottom) [mm]."""
    for piece in composition.pieces:
        match piece:
            case PlacedDrawing():
                for item in piece.drawing.items:
                    if isinstance(item, Text):
                        yield item.text, *_words(item.text, item.at, item.size_mm, turned=False, bold=item.bold)
                    elif isinstance(item, Polygon) and item.filled:
                        yield "mark", *_around(item.points)
            case Words() if not piece.white:
                yield piece.text, *_words(piece.text, (piece.x_mm, piece.y_mm), piece.size_mm, turned=piece.turned,
                                          bold=piece.bold)
            case FilledShape():
                yield "arrow", *_around(piece.points)
            case SymbolMark():
                side = piece.symbol.full_size * piece.module_mm
                yield "symbol", piece.x_mm, piece.y_mm, piece.x_mm + side, piece.y_mm + side


def _words(text, at, size, *, turned, bold):
    half, cap = unit_width(text, bold=bold) * size / 2, size * CAP_HEIGHT
    if turned:
        return at[0] - cap, at[1] - half, at[0], at[1] + half
    return at[0] - half, at[1] - cap, at[0] + half, at[1]


def _around(points):
    return (min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points))


ARMS = st.integers(3, 7).flatmap(lambda count: st.lists(
    st.floats(0.75, 1.25), min_size=count, max_size=count).map(
    lambda gaps: [sum(gaps[:n]) / sum(gaps) * 360 for n in range(len(gaps))]))


@settings(deadline=None, max_examples=60)
@given(ARMS, st.floats(0, 359), st.sampled_from(["round", "hexagon"]), st.floats(60, 150))
def test_nothing_lies_on_another_thing_or_vanishes_unsaid(azimuths_deg, turn_deg, form, size_mm):
    label, made = face([(a + turn_deg) % 360 for a in azimuths_deg], form, size_mm)
    found = list(boxes(made))
    own = [box for box in found if box[0] in (label.headline, "symbol", "arrow", *label.lines, label.band_letter)]
    for one in own:
        for other in found:
            if one is not other and (one[0], other[0]) != ("arrow", "symbol"):
                beside = one[3] <= other[1] + 1e-6 or one[1] >= other[3] - 1e-6
                assert beside or one[4] <= other[2] + 1e-6 or one[2] >= other[4] - 1e-6, (one, other)
    said, warned = {box[0] for box in found}, {w.text for w in made.warnings}
    for text in (label.headline, label.band_letter, *label.lines):
        assert (text in said) != (text in warned)
    assert ("symbol" in said) != ("QR symbol" in warned)
    assert ("arrow" in said) != (label.arrow in warned)


def test_a_hexagon_has_a_corner_at_the_top():
    _, made = face((30, 90, 150, 210, 270, 330), "hexagon")
    outline = next(p for p in made.pieces if isinstance(p, PlacedDrawing)).drawing.items[0]
    top = min(outline.points, key=lambda point: point[1])
    assert top[0] == pytest.approx(45.0)
    width, height = hexagon_mm(90.0)
    assert height == pytest.approx(width * 2 / math.sqrt(3))


def test_a_face_too_small_says_what_to_change():
    _, made = face((30, 90, 150, 210, 270, 330), size_mm=45.0)
    assert ('OH-H22-T: "QR symbol" finds no room between the arms on a label 45 mm wide and is left out; '
            "choose a larger labels.hub_label_mm") in [str(w) for w in made.warnings]
