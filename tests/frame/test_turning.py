"""Where a hub made for one place fits, and in how many positions."""

import pytest

from fieldapp.frame.build import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.turning import hub_turns

TOLERANCE_DEG = 0.05


@pytest.fixture(scope="module", params=[(2, "2/3", True), (3, "4/9", True), (3, "full", False)],
                ids=lambda p: p[1])
def frame(request):
    frequency, cut, level = request.param
    return build_frame(Design(frame=FrameSection(frequency=frequency, cut=cut, level_base=level, diameter_m=5.0)))


def test_hubs_of_one_class_fit_each_other_in_as_many_positions_as_the_class_says(frame):
    symmetry = {c.name: c.symmetry for c in frame.hub_classes}
    for one in frame.hubs:
        for other in frame.hubs:
            expected = symmetry[one.hub_class] if one.hub_class == other.hub_class else 0
            assert len(hub_turns(one, other, TOLERANCE_DEG)) == expected


def test_a_turned_hub_meets_every_strut_at_the_right_angle(frame):
    for one in frame.hubs:
        other = next(h for h in reversed(frame.hubs) if h.hub_class == one.hub_class)
        for turn in hub_turns(one, other, TOLERANCE_DEG):
            offsets = {round((other.arms[to - 1].azimuth_deg - arm.azimuth_deg) % 360, 3) % 360
                       for arm, to in zip(one.arms, turn, strict=True)}
            assert max(offsets) - min(offsets) < 1e-2
            for arm, to in zip(one.arms, turn, strict=True):
                assert other.arms[to - 1].dip_deg == pytest.approx(arm.dip_deg, abs=TOLERANCE_DEG)


def test_at_its_own_place_a_hub_first_sits_as_made(frame):
    assert all(hub_turns(h, h, TOLERANCE_DEG)[0] == tuple(range(1, len(h.arms) + 1)) for h in frame.hubs)
