"""The least of several limits: never above any of them, with the cause of the lowest; each cause has its words."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldapp.base.errors import StaticsError
from fieldapp.base.said import in_words
from fieldapp.statics import governs
from fieldapp.statics.causes import CAUSES, gives_way
from fieldapp.statics.governs import HANDS, PUSH, UNKNOWN, Bound, Governs, Limit, least

bounds = st.lists(st.tuples(st.floats(0, allow_infinity=True), st.sampled_from(sorted(CAUSES))), min_size=1, max_size=6)


@given(bounds)
def test_the_least_is_no_higher_than_any_source_and_names_the_lowest(given_bounds):
    found = least(Limit(PUSH, value, "H22", Governs(what, "S01", "H22")) for value, what in given_bounds)
    assert found.value == min(value for value, _ in given_bounds)
    assert (found.value, found.governs.what) in given_bounds
    frame = [value for value, what in given_bounds if CAUSES[what].means != "ends before"]
    assert found.frame.value == min(frame, default=math.inf)


def test_the_number_of_the_frame_is_kept_where_hands_end_before():
    tube = Limit(PUSH, 7950.0, "H22", Governs("tube", "S102"))
    found = least([tube, Limit(PUSH, 225.0, "H22", Governs(HANDS))])
    assert (found.value, found.governs.what, found.frame) == (225.0, HANDS, Bound(7950.0, Governs("tube", "S102")))
    again = least([found, Limit(PUSH, 900.0, "H22", Governs("peg", hub="H03"))])
    assert (again.value, again.frame) == (225.0, Bound(900.0, Governs("peg", hub="H03")))


def test_what_is_no_number_bears_nothing_and_says_so():
    found = least([Limit(PUSH, 100.0, "H22", Governs("arm", "S01", "H22")), Limit(PUSH, math.nan, "H22")])
    assert (found.value, found.governs.what) == (0.0, UNKNOWN)


def test_only_limits_of_one_kind_are_compared():
    with pytest.raises(StaticsError, match="one kind"):
        least([Limit(PUSH, 1.0, "H22"), Limit("free end", 1.0, "H22")])
    with pytest.raises(StaticsError, match="one kind"):
        least([])


def test_every_cause_has_its_words():
    names = {value for name, value in vars(governs).items() if name.isupper() and isinstance(value, str)}
    kinds = {PUSH, "free end", "low hub", "lag", "wind", "own weight", governs.SPREAD}
    assert names - kinds == set(CAUSES)
    said = {in_words(gives_way(Governs(name, "S102", "H45"))) for name in CAUSES}
    assert len(said) == len(CAUSES)
    assert "the tube of S102 folds first" in said
