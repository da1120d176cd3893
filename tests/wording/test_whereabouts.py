"""Where a place is in words that need no counting: on top of what stands, left and right as seen from outside."""

import re
from itertools import pairwise

import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.prints.pictures import Showing, near_view
from fieldapp.wording.whereabouts import whereabouts


@pytest.fixture(scope="module")
def frame():
    return build_frame(Design.model_validate({"frame": {"frequency": 3, "cut": "5/9", "diameter_m": 6.4}}))


def test_neighbours_in_a_ring_are_left_and_right_as_seen_from_outside(frame):
    """Rings are numbered clockwise seen from above; who stands outside and looks in has the next one on the left."""
    for level in (1, 2, 3):
        ring = [hub.name for hub in frame.level(level)]
        for here, after in pairwise(ring):
            if frame.struts_between((here, after)):
                assert whereabouts(frame, after, {here}.__contains__).words == f"left of {here}"
                assert whereabouts(frame, here, {after}.__contains__).words == f"right of {after}"


def test_what_is_named_is_met_and_stands(frame):
    standing = {hub.name for hub in frame.hubs if hub.level < 3} | {
        strut.name for strut in frame.struts if max(frame.hub(end.hub).level for end in (strut.end_1, strut.end_2)) < 3}
    for hub in frame.level(3):
        found = whereabouts(frame, hub.name, standing.__contains__)
        assert found.words.startswith("on top of H")
        assert set(found.named) <= standing
        assert re.findall(r"[HS]\d+", found.words) == list(found.named)


def test_where_nothing_stands_the_place_in_the_frame_tells(frame):
    hub = frame.level(2)[2]
    assert whereabouts(frame, hub.name, set().__contains__).words == "second ring, third from the front mark clockwise"
    assert whereabouts(frame, frame.top.name, set().__contains__).words == "crown, the topmost hub"


def test_a_strut_goes_from_below_up_or_between_left_and_right(frame):
    for strut in frame.struts:
        words = whereabouts(frame, strut.name, set().__contains__).words
        assert words in {f"from {strut.end_1.hub} up to {strut.end_2.hub}",
                         f"between {strut.end_1.hub} (left) and {strut.end_2.hub} (right)",
                         f"between {strut.end_2.hub} (left) and {strut.end_1.hub} (right)"}


def test_the_near_picture_names_what_the_words_name(frame):
    hub = frame.level(2)[3]
    standing = frozenset(h.name for h in frame.level(1))
    found = whereabouts(frame, hub.name, standing.__contains__)
    drawing = near_view(frame, Showing(standing=standing, this=hub.name, labels=found.named))
    texts = {item.text for item in drawing.items if hasattr(item, "text")}
    assert texts == {hub.name, *found.named}
