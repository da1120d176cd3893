"""Whole frames from a design: sizes, places, arms, classes, and what is refused."""

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame
from fieldapp.frame.cuts import cuts
from fieldapp.frame.design import Design, FrameSection, HubSection


def _frame(reach_mm=95.0, **shape):
    shape = {"frequency": 3, "cut": "4/9", **shape}
    return build_frame(Design(frame=FrameSection(**shape), hub=HubSection(reach_mm=reach_mm)))


@pytest.fixture(scope="module")
def low_dome():
    """5.2 m, less than half a sphere, its base level."""
    return _frame(diameter_m=5.2)


def test_counts_and_height_of_a_low_dome(low_dome):
    """Common practice, no source: 46 hubs, 120 struts; the rim lies 0.17164 R above the middle (computed)."""
    assert (len(low_dome.hubs), len(low_dome.struts), len(low_dome.strut_classes)) == (46, 120, 4)
    assert low_dome.height_mm == pytest.approx((1 - 0.17164) * 2600.0, abs=0.05)


def test_strut_classes_are_lettered_by_length(low_dome):
    """A to C by the published chord factors (see test_kenner_1976) at radius 2.6 m; D, of the level base, computed."""
    classes = [(c.letter, c.bands, round(c.centre_length_mm, 2), c.count) for c in low_dome.strut_classes]
    published = [(letter, bands, round(2600.0 * factor, 2), count) for letter, bands, factor, count in (
        ("A", 1, 0.34861549, 30), ("B", 2, 0.40354821, 40), ("C", 3, 0.41241149, 40))]
    assert classes == [*published, ("D", 4, 1106.86, 10)]


def test_eight_hub_classes_four_of_them_handed(low_dome):
    """Computed: with 0.05° eight classes, four of them in two mirror pairs; six if hubs could be turned over."""
    classes = {c.name: c for c in low_dome.hub_classes}
    handed = {name for name, one in classes.items() if one.mirror}
    assert len(classes) == 8
    assert handed == {"2L", "2R", "3L", "3R"}
    assert all(classes[classes[name].mirror].mirror == name for name in handed)
    assert sum(c.count for c in classes.values()) == 46
    crown = classes[low_dome.hubs[-1].hub_class]
    assert (crown.symmetry, crown.gaps_deg, crown.handed) == (5, (72.0,) * 5, None)
    assert {c.handed for c in classes.values()} == {None, "left", "right"}


def test_a_right_hand_hub_has_the_wider_neighbour_of_its_widest_gap_clockwise(low_dome):
    for one in low_dome.hub_classes:
        widest, clockwise, anticlockwise = one.gaps_deg[0], one.gaps_deg[1], one.gaps_deg[-1]
        assert widest == pytest.approx(max(one.gaps_deg), abs=1e-5)
        if one.handed:
            assert one.handed == ("right" if clockwise > anticlockwise else "left")


def test_rings_and_names(low_dome):
    assert [len(low_dome.level(r)) for r in range(1, low_dome.level_count + 1)] == [15, 15, 10, 5, 1]
    assert [hub.name for hub in low_dome.level(1)] == [f"H{n:02d}" for n in range(1, 16)]
    assert [hub.name for hub in low_dome.hubs if hub.on_ground] == [hub.name for hub in low_dome.level(1)]
    assert low_dome.struts[0].name == "S001"
    large = _frame(frequency=16, cut="full", diameter_m=24.0)
    assert (large.hubs[0].name, large.struts[0].name) == ("H0001", "S0001")


def test_front_mark_and_counting_clockwise(low_dome):
    x, y, z = low_dome.position_mm("H01")
    assert (x, z) == (0.0, 0.0)
    assert y < 0
    assert low_dome.position_mm("H02")[0] < 0, "clockwise seen from above goes by −x"
    around = {s.name: (s.end_1.hub, s.end_2.hub) for s in low_dome.struts[:15]}
    assert around["S001"] == ("H01", "H02")
    assert around["S015"] == ("H15", "H01"), "across the front mark H15 is met first"


def test_arms_of_the_hub_at_the_front_mark(low_dome):
    front, crown = low_dome.hubs[0], low_dome.hubs[-1]
    sides = [low_dome.struts[low_dome.strut_index[arm.strut]] for arm in front.arms]
    assert [arm.number for arm in front.arms] == [1, 2, 3, 4]
    assert [arm.azimuth_deg for arm in front.arms] == sorted(arm.azimuth_deg for arm in front.arms)
    right = next(s for s, arm in zip(sides, front.arms, strict=True) if arm.number == 2)
    assert "H15" in (right.end_1.hub, right.end_2.hub), "right of a person looking in from the front mark is +x"
    assert crown.arms[0].azimuth_deg == pytest.approx(0.0)


@pytest.mark.parametrize("size", [{"diameter_m": 5.2}, {"height_m": 2.25}, {"longest_strut_m": 0.98}])
def test_each_of_the_three_sizes_is_met(size):
    frame = _frame(**size)
    longest_cut_mm = max(s.centre_length_mm for s in frame.struts) - 2 * 95.0
    got = {"diameter_m": 2 * frame.radius_mm, "height_m": frame.height_mm, "longest_strut_m": longest_cut_mm}
    [(name, size_m)] = size.items()
    assert got[name] == pytest.approx(size_m * 1000, abs=1e-5)


def test_without_a_level_base_every_hub_lies_on_the_sphere():
    frame = _frame(diameter_m=5.2, level_base=False)
    radii = np.linalg.norm(frame.nodes_mm - frame.centre_mm, axis=1)
    assert radii == pytest.approx(np.full(46, 2600.0), abs=1e-5)
    assert sum(hub.on_ground for hub in frame.hubs) == 15
    assert frame.nodes_mm[:, 2].min() == 0.0


@pytest.mark.parametrize("frequency", [1, 2, 3, 8])
def test_every_cut_makes_a_frame(frequency):
    for cut in cuts(frequency):
        frame = _frame(frequency=frequency, cut=cut, diameter_m=7.2, level_base=False)
        assert frame.hubs[0].on_ground
        assert frame.level(frame.level_count) == frame.hubs[-1:]


def test_same_design_same_frame(low_dome):
    again = _frame(diameter_m=5.2)
    assert (again.hubs, again.struts) == (low_dome.hubs, low_dome.struts)
    assert again.nodes_mm.tobytes() == low_dome.nodes_mm.tobytes()


def test_arrays_are_read_only(low_dome):
    with pytest.raises(ValueError, match="read-only"):
        low_dome.nodes_mm[0, 0] = 1.0


@pytest.mark.parametrize(("shape", "message"), [
    ({"cut": "1/2", "diameter_m": 5.2},
     "frame.cut is '1/2'; frequency 3 can be cut at 1/9, 2/9, 1/3, 4/9, 5/9, 2/3, 7/9, 8/9, full; the nearest is 4/9"),
    ({"cut": "half", "frequency": 2, "diameter_m": 5.2},
     "frame.cut is 'half'; frequency 2 can be cut at 1/6, 1/3, 1/2, 2/3, 5/6, full; "
     "choose one of them or another frequency"),
    ({"diameter_m": 2.0, "reach_mm": 175.0},
     "hub.reach_mm is 175; the shortest struts (class A) measure 348.6 mm from hub centre to hub centre, so it must be "
     "below 174.3; make the reach shorter or the frame larger")])
def test_refusals(shape, message):
    with pytest.raises(DesignError) as refused:
        _frame(**shape)
    assert str(refused.value) == message
