"""Whole frames from a design: sizes, places, arms, classes, and what is refused."""

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame.build import build_frame
from fieldapp.frame.cuts import cuts
from fieldapp.frame.design import Design, FrameSection, HubSection


def _frame(reach_mm=95.0, **shape):
    shape = {"frequency": 3, "cut": "5/9", **shape}
    return build_frame(Design(frame=FrameSection(**shape), hub=HubSection(reach_mm=reach_mm)))


@pytest.fixture(scope="module")
def eight_metres():
    return _frame(diameter_m=8.0)


def test_eight_metre_frame(eight_metres):
    """Common practice, no source: 165 struts in four lengths, 61 hubs, about 4.7 m high."""
    assert (len(eight_metres.hubs), len(eight_metres.struts), len(eight_metres.strut_classes)) == (61, 165, 4)
    assert eight_metres.height_mm == pytest.approx(4700, abs=50)


def test_strut_classes_are_lettered_by_length(eight_metres):
    """Computed from the chord factors of a level base at radius 4 m."""
    classes = [(c.letter, c.bands, round(c.centre_length_mm, 2), c.count) for c in eight_metres.strut_classes]
    assert classes == [("A", 1, 1394.46, 30), ("B", 2, 1594.65, 10), ("C", 3, 1614.19, 55), ("D", 4, 1649.65, 70)]


def test_eight_hub_classes_four_of_them_handed(eight_metres):
    """Computed: with 0.05° eight classes, four of them in two mirror pairs; six if hubs could be turned over."""
    classes = {c.name: c for c in eight_metres.hub_classes}
    handed = {name for name, one in classes.items() if one.mirror}
    assert len(classes) == 8
    assert handed == {"2L", "2R", "3L", "3R"}
    assert all(classes[classes[name].mirror].mirror == name for name in handed)
    assert sum(c.count for c in classes.values()) == 61
    crown = classes[eight_metres.hubs[-1].hub_class]
    assert (crown.symmetry, crown.gaps_deg, crown.handed) == (5, (72.0,) * 5, None)
    assert {c.handed for c in classes.values()} == {None, "left", "right"}


def test_a_right_hand_hub_has_the_wider_neighbour_of_its_widest_gap_clockwise(eight_metres):
    for one in eight_metres.hub_classes:
        widest, clockwise, anticlockwise = one.gaps_deg[0], one.gaps_deg[1], one.gaps_deg[-1]
        assert widest == pytest.approx(max(one.gaps_deg), abs=1e-5)
        if one.handed:
            assert one.handed == ("right" if clockwise > anticlockwise else "left")


def test_rings_and_names(eight_metres):
    assert [len(eight_metres.ring(r)) for r in range(1, eight_metres.ring_count + 1)] == [15, 15, 15, 10, 5, 1]
    assert [hub.name for hub in eight_metres.ring(1)] == [f"H{n:02d}" for n in range(1, 16)]
    assert [hub.name for hub in eight_metres.hubs if hub.on_ground] == [hub.name for hub in eight_metres.ring(1)]
    assert eight_metres.struts[0].name == "S001"
    large = _frame(frequency=16, cut="full", diameter_m=24.0)
    assert (large.hubs[0].name, large.struts[0].name) == ("H0001", "S0001")


def test_front_mark_and_counting_clockwise(eight_metres):
    x, y, z = eight_metres.position_mm("H01")
    assert (x, z) == (0.0, 0.0)
    assert y < 0
    assert eight_metres.position_mm("H02")[0] < 0, "clockwise seen from above goes by −x"
    around = {s.name: (s.end_1.hub, s.end_2.hub) for s in eight_metres.struts[:15]}
    assert around["S001"] == ("H01", "H02")
    assert around["S015"] == ("H15", "H01"), "across the front mark H15 is met first"


def test_arms_of_the_hub_at_the_front_mark(eight_metres):
    front, crown = eight_metres.hubs[0], eight_metres.hubs[-1]
    sides = [eight_metres.struts[eight_metres.strut_index[arm.strut]] for arm in front.arms]
    assert [arm.number for arm in front.arms] == [1, 2, 3, 4]
    assert [arm.azimuth_deg for arm in front.arms] == sorted(arm.azimuth_deg for arm in front.arms)
    right = next(s for s, arm in zip(sides, front.arms, strict=True) if arm.number == 2)
    assert "H15" in (right.end_1.hub, right.end_2.hub), "right of a person looking in from the front mark is +x"
    assert crown.arms[0].azimuth_deg == pytest.approx(36.0)


@pytest.mark.parametrize("size", [{"diameter_m": 6.4}, {"height_m": 3.749}, {"longest_strut_m": 1.130}])
def test_each_of_the_three_sizes_is_met(size):
    frame = _frame(**size)
    longest_cut_mm = max(s.centre_length_mm for s in frame.struts) - 2 * 95.0
    got = {"diameter_m": 2 * frame.radius_mm, "height_m": frame.height_mm, "longest_strut_m": longest_cut_mm}
    [(name, size_m)] = size.items()
    assert got[name] == pytest.approx(size_m * 1000, abs=1e-5)


def test_without_a_level_base_every_hub_lies_on_the_sphere():
    frame = _frame(diameter_m=8.0, level_base=False)
    radii = np.linalg.norm(frame.nodes_mm - frame.centre_mm, axis=1)
    assert radii == pytest.approx(np.full(61, 4000.0), abs=1e-5)
    assert sum(hub.on_ground for hub in frame.hubs) == 15
    assert frame.nodes_mm[:, 2].min() == 0.0


@pytest.mark.parametrize("frequency", [1, 2, 3, 8])
def test_every_cut_makes_a_frame(frequency):
    for cut in cuts(frequency):
        frame = _frame(frequency=frequency, cut=cut, diameter_m=9.0, level_base=False)
        assert frame.hubs[0].on_ground
        assert frame.ring(frame.ring_count) == frame.hubs[-1:]


def test_same_design_same_frame(eight_metres):
    again = _frame(diameter_m=8.0)
    assert (again.hubs, again.struts) == (eight_metres.hubs, eight_metres.struts)
    assert again.nodes_mm.tobytes() == eight_metres.nodes_mm.tobytes()


def test_arrays_are_read_only(eight_metres):
    with pytest.raises(ValueError, match="read-only"):
        eight_metres.nodes_mm[0, 0] = 1.0


@pytest.mark.parametrize(("shape", "message"), [
    ({"cut": "1/2", "diameter_m": 8.0},
     "frame.cut is '1/2'; frequency 3 can be cut at 1/9, 2/9, 1/3, 4/9, 5/9, 2/3, 7/9, 8/9, full; the nearest is 4/9"),
    ({"cut": "half", "frequency": 2, "diameter_m": 8.0},
     "frame.cut is 'half'; frequency 2 can be cut at 1/6, 1/3, 1/2, 2/3, 5/6, full; "
     "choose one of them or another frequency"),
    ({"diameter_m": 2.0, "reach_mm": 175.0},
     "hub.reach_mm is 175; the shortest struts (class A) measure 348.6 mm from hub centre to hub centre, so it must be "
     "below 174.3; make the reach shorter or the frame larger")])
def test_refusals(shape, message):
    with pytest.raises(DesignError) as refused:
        _frame(**shape)
    assert str(refused.value) == message
