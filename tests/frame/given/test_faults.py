"""What no frame can have is told with its place; distances between segments against points tried along them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.frame.given.faults import Lines, faults, segment_distances_mm

SQUARE = {"A": (0, 0, 0), "B": (1000, 0, 0), "C": (1000, 1000, 0), "D": (0, 1000, 0), "E": (500, 0, 0),
          "F": (5000, 0, 0), "G": (6000, 0, 0), "H": (5000, 900, 0)}
ROUND = ("AB", "BC", "CD", "DA")


def _faults(*lines):
    names = sorted({name for line in lines for name in line})
    return faults(Lines(np.array([SQUARE[name] for name in names], dtype=float),
                        np.array([[names.index(a), names.index(b)] for a, b in lines]), tuple(names),
                        tuple(f"line {i}" for i in range(1, len(lines) + 1)), 1.0))


@pytest.mark.parametrize(("lines", "said"), [
    (ROUND, None),
    ((*ROUND, "BA"), "line 5 (B to A) is drawn a second time, first at line 1"),
    ((*ROUND, "AA"), "line 5 (A to A) has both ends in one point"),
    ((*ROUND, "AC", "BD"), "line 5 (A to C) crosses line 6 (B to D)"),
    ((*ROUND, "CE", "DE"), "line 1 (A to B) crosses line 5 (C to E)"),
    ((*ROUND, "AE", "DE"), "line 1 (A to B) runs over the point E (500, 0, 0 mm) of line 5 (A to E)"),
    ((*ROUND, "BF"), "line 5 (B to F) ends in the air at F (5000, 0, 0 mm)"),
    ((*ROUND, "FG", "GH", "HF"), "3 points round F (5000, 0, 0 mm) hang together with nothing else"),
])
def test_each_fault_is_told_with_its_place(lines, said):
    found = _faults(*lines)
    assert found == () if said is None else any(text.startswith(said) for text in found), found


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-5, 5), min_size=12, max_size=12).filter(
    lambda at: at[:3] != at[3:6] and at[6:9] != at[9:]))
def test_no_two_points_of_segments_are_nearer_than_their_distance(at):
    first, second = np.array(at, dtype=float).reshape(2, 1, 2, 3)  # (segment, pair, end, axis)
    share = np.linspace(0, 1, 61)[:, None]
    one, other = (ends[0, 0] + share * (ends[0, 1] - ends[0, 0]) for ends in (first, second))
    tried = np.linalg.norm(one[:, None] - other[None], axis=2).min()  # (point, other point, axis) within
    found = segment_distances_mm(first, second)[0]
    assert found <= tried + 1e-9
    assert found >= tried - 0.3, "neighbouring points that were tried lie at most 0.29 apart"
