"""Welding: noise within the tolerance gives the frame back, each merge told; chains of points are refused."""

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame.given.weld import welded


def test_noise_below_the_tolerance_is_taken_out_and_told():
    rng = np.random.default_rng(4)
    corners = rng.uniform(-5000, 5000, (40, 3))
    drawn = np.repeat(corners, 3, axis=0) + rng.uniform(-0.2, 0.2, (120, 3))
    found = welded(drawn, tuple(f"P{i}" for i in range(120)), 1.0, 900.0)
    assert found.index.tolist() == np.repeat(np.arange(40), 3).tolist()
    assert np.abs(found.points_mm - corners).max() < 0.2
    assert len(found.merged) == 40
    assert found.merged[0].startswith("points P0, P1, P2 lie within 0.")


def test_a_chain_of_points_is_no_hub():
    row = np.array([[0.9 * i, 0.0, 0.0] for i in range(6)])
    with pytest.raises(DesignError, match=r"lie in a chain that is 4\.50 mm long"):
        welded(row, tuple("ABCDEF"), 1.0, 900.0)
