"""The level base: which hubs move, and how many strut lengths come of it."""

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame.cuts import cut_sphere, rim_row
from fieldapp.frame.dome import subdivided_sphere
from fieldapp.frame.level import added_lengths, distinct, level_rim
from fieldapp.frame.shape import strut_lengths


def _before_and_after(frequency, cut, subdivision="equal chords"):
    cap = cut_sphere(subdivided_sphere(frequency, subdivision), rim_row(frequency, cut))
    return cap, level_rim(cap)


def test_three_frequency_five_ninths():
    """Computed: the result that the trade's tables for a level base give, to their last digit."""
    cap, level = _before_and_after(3, "5/9")
    factors, counts = np.unique(strut_lengths(level.nodes, level.struts).round(8), return_counts=True)
    assert factors == pytest.approx([0.34861549, 0.398663, 0.40354821, 0.41241149], abs=5e-7)
    assert counts.tolist() == [30, 10, 55, 70]
    assert np.ptp(level.nodes[:, 2]) == pytest.approx(1.17164, abs=5e-6)
    moved = np.linalg.norm(level.nodes - cap.nodes, axis=1) > 1e-9
    assert moved.sum() == 5
    azimuth = [np.arctan2(nodes[moved, 1], nodes[moved, 0]) for nodes in (cap.nodes, level.nodes)]
    assert np.allclose(azimuth[0], azimuth[1], atol=1e-12), "each within its own mirror plane"
    base = strut_lengths(level.nodes, level.struts)[moved[level.struts].any(axis=1)
                                                    & level.ground[level.struts].all(axis=1)]
    assert base == pytest.approx([0.41241149] * 10, abs=6e-9)


@pytest.mark.parametrize(("frequency", "cut", "before", "after", "added"), [
    (1, "2/3", 1, 1, 0), (3, "4/9", 3, 4, 1), (3, "5/9", 3, 4, 1), (5, "7/15", 9, 12, 3), (5, "8/15", 9, 12, 3),
    (7, "10/21", 16, 21, 5), (7, "11/21", 16, 21, 5), (9, "13/27", 18, 25, 7), (9, "14/27", 18, 25, 7)])
def test_lengths_that_odd_frequencies_come_to(frequency, cut, before, after, added):
    """Computed by this rule: a regression value, not an outside check."""
    cap, level = _before_and_after(frequency, cut)
    lengths = [distinct(strut_lengths(shape.nodes, shape.struts)) for shape in (cap, level)]
    assert ([len(one) for one in lengths], added_lengths(*lengths)) == ([before, after], added)


@pytest.mark.parametrize("subdivision", ["equal chords", "equal arcs"])
@pytest.mark.parametrize(("frequency", "cut"), [(2, "2/3"), (3, "4/9"), (4, "7/12"), (5, "8/15"), (8, "5/8")])
def test_only_the_rim_moves_and_every_arm_still_dips(frequency, cut, subdivision):
    cap, level = _before_and_after(frequency, cut, subdivision)
    assert np.ptp(cap.nodes[cap.ground, 2]) > 1e-3
    assert np.ptp(level.nodes[level.ground, 2]) < 1e-12
    assert np.array_equal(cap.nodes[~cap.ground], level.nodes[~level.ground])
    ends = level.nodes[level.struts]
    product = (ends[:, 0] * ends[:, 1]).sum(axis=1)
    assert (product < (ends**2).sum(axis=2).min(axis=1)).all()


@pytest.mark.parametrize("frequency", [2, 4, 6, 8, 10, 12, 14, 16])
def test_a_half_sphere_of_even_frequency_is_level_already(frequency):
    cap, level = _before_and_after(frequency, "1/2")
    assert level is cap


def test_a_rim_too_wavy_to_be_levelled_is_refused():
    with pytest.raises(DesignError) as refused:
        _before_and_after(16, "1/3")
    assert str(refused.value) == (
        "frame.level_base is true, but the rim of this cut goes up and down by 3.9 % of the diameter, too much for the "
        "lowest struts; choose a cut nearer to the middle of the sphere, or level_base = false")
