"""How the pin-jointed frame moves: counts of caps, which hubs move, and the fewest of them to hold."""

from itertools import combinations

import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.plan.case import case_of
from fieldapp.plan.motions import motions_of, smallest_holds
from fieldapp.plan.supports import kept_still


@pytest.fixture(scope="module")
def case(lean_kit):
    return case_of(lean_kit)


@pytest.mark.parametrize(("frequency", "cut", "self_stress"),
                         [(2, "1/2", 17), (3, "4/9", 27), (3, "5/9", 27), (4, "1/2", 37)])
def test_caps_free_and_with_a_pinned_rim(frequency, cut, self_stress):
    """n rim hubs: free s = 0, m = n − 3; rim pinned m = 0, s = 2 n − 3 (Maxwell 1864)."""
    frame = build_frame(Design(frame=FrameSection(frequency=frequency, cut=cut, level_base=False, diameter_m=6.6)))
    hubs, struts, rim = [hub.name for hub in frame.hubs], [s.name for s in frame.struts], frame.level(1)
    loose = motions_of(frame, hubs, struts, {})
    assert (len(struts) - 3 * len(hubs) + loose.count, loose.count - 6) == (0, len(rim) - 3)
    pinned = motions_of(frame, hubs, struts, kept_still(hub.name for hub in rim))
    assert pinned.count == 0
    assert len(struts) + 3 * len(rim) - 3 * len(hubs) == self_stress == 2 * len(rim) - 3


def _stages(case):
    order = [hub.name for hub in case.frame.hubs]
    ground = kept_still(hub.name for hub in case.frame.hubs if hub.on_ground)
    for count in (12, 14, 18, 19, 24, 28, 32, 34):
        yield motions_of(case.frame, order[:count], [s.name for s in case.frame.struts_between(order[:count])], ground)


def test_no_smaller_set_of_hubs_does_it(case):
    """Every smaller set of moving hubs is tried."""
    for motions in list(_stages(case))[:5]:
        held = smallest_holds(motions)
        for few in combinations(motions.hubs, max(len(held) - 1, 0)):
            assert not held or motions.without(few).count > 0


def test_the_hub_that_moves_is_named(case):
    """One hub on two struts from the ground swings about the line of its two feet."""
    ground = [hub.name for hub in case.frame.hubs if hub.on_ground]
    above = next(hub.name for hub in case.frame.hubs if sum(case.frame.strut(arm.strut).end(3 - arm.end).hub in ground
                                                            for arm in hub.arms) == 2 and not hub.on_ground)
    hubs = [*ground, above]
    swinging = motions_of(case.frame, hubs, [s.name for s in case.frame.struts_between(hubs)], kept_still(ground))
    assert (swinging.hubs, swinging.count, smallest_holds(swinging)) == ((above,), 1, (above,))
