"""A part of another kit is one of a class by the rule of the classes themselves, within the frame's tolerance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_frame import small_design

from fieldapp.base.said import in_words
from fieldapp.frame import patterns
from fieldapp.kit import build_kit
from fieldapp.kit.interchange import arm_directions
from fieldapp.kit.standing_in import fits_class

KIT = build_kit(small_design())
HUBS = [part for part in KIT.parts if part.kind == "hub"]


def fits(key, arms=(), length=None):
    found = fits_class(KIT, key, arms=arms, cut_length_mm=length)
    return None if found is None else in_words(found)


@given(st.sampled_from(HUBS), st.sampled_from(HUBS), st.floats(0.0, 360.0))
def test_hubs_fit_their_own_class_and_no_other(one, other, turned_deg):
    arms = [(azimuth + turned_deg, dip) for azimuth, dip in arm_directions(KIT, one)]
    assert (fits(("hub", other.part_class), arms) is None) == (one.part_class == other.part_class)


def test_the_mirror_image_is_said_to_be_one():
    left = next(part for part in HUBS if part.part_class.endswith("L"))
    mirrored = patterns.mirrored(patterns.pattern_of(*np.array(arm_directions(KIT, left)).T))
    azimuths = np.cumsum([0.0, *mirrored[:-1, 0]])
    arms = list(zip(azimuths, mirrored[:, 1], strict=True))
    assert fits(("hub", left.part_class), arms) == "mirror image of this hub"


@pytest.mark.parametrize(("more_mm", "why"), [(0.45, None), (-0.45, None), (0.6, "0.6 mm too long"),
                                              (-14.0, "14 mm too short")])
def test_lengths_are_held_to_the_tolerance(more_mm, why):
    strut = KIT.by_place["S001"]
    assert fits(("strut", strut.part_class), length=strut.cut_length_mm + more_mm) == why


def test_an_arm_out_by_more_than_the_tolerance_is_refused():
    hub = HUBS[0]
    (azimuth, dip), *rest = arm_directions(KIT, hub)
    assert fits(("hub", hub.part_class), ((azimuth, dip + 0.04), *rest)) is None
    assert fits(("hub", hub.part_class), ((azimuth, dip + 0.06), *rest)) == "its arms point up to 0.06° elsewhere"
    assert "arms where" in fits(("hub", hub.part_class), rest)
