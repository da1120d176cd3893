"""A kit is given to one place for a day, never to two; where it is, is written down and does not travel standing."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fieldapp.log.fold import fold
from fieldapp.log.wanted import Promise, to_come

SPRING = {"where": "Mill Green", "first": "2026-05-10", "last": "2026-05-12"}
DAYS = st.dates(date(2026, 1, 1), date(2026, 2, 9))


def test_a_day_is_given_once_and_can_be_given_back(crew):
    given_days = crew.done("wanted", chief=True, **SPRING)
    for first, last in (("2026-05-12", "2026-05-14"), ("2026-05-01", "2026-05-30"), ("2026-05-11", "2026-05-11")):
        said = crew.refused("wanted", chief=True, where="Ropewalk", first=first, last=last)
        assert "given to Mill Green for 2026-05-10 to 2026-05-12 already" in said
        assert "another kit" in said
    crew.done("wanted", chief=True, where="Ropewalk", first="2026-05-13", last="2026-05-13")
    crew.done("withdrawn", chief=True, entry=given_days.key, reason="rained off")
    crew.done("wanted", chief=True, where="Ropewalk", first="2026-05-12", last="2026-05-12")
    assert [one.where for one in to_come(crew.book.state.wanted, date(2026, 5, 13))] == ["Ropewalk"]


def test_days_are_in_order_to_come_and_those_of_one_occasion(crew):
    assert "before the first" in crew.refused("wanted", chief=True, where="A", first="2026-06-02", last="2026-06-01")
    assert "are over" in crew.refused("wanted", chief=True, where="A", first="2026-04-01", last="2026-04-30")
    assert "more than a year" in crew.refused("wanted", chief=True, where="A", first="2026-06-01", last="2027-06-02")
    assert "cannot take first = 'soon'" in crew.refused("wanted", chief=True, where="A", first="soon", last="soon")
    assert "chief's rights" in crew.refused("wanted", **SPRING)


def test_of_two_laptops_that_gave_one_day_the_first_counts(crew, site):
    first = crew.done("wanted", chief=True, **SPRING)
    crew.done("withdrawn", chief=True, entry=first.key, reason="a slip")
    second = crew.done("wanted", chief=True, **{**SPRING, "where": "Ropewalk"})
    joined = fold(site.kit, [entry for entry in crew.book.entries() if entry.kind == "wanted"])
    assert [one.where for one in joined.wanted] == ["Mill Green"]
    assert [clash.key for clash in joined.clashes] == [second.key]


def test_where_it_is_and_that_it_does_not_travel_standing(crew):
    crew.done("moved", where="Mill Green")
    crew.done("fitted", "OH-S001-7")
    assert "stands at Mill Green, with 1 of its parts" in crew.refused("moved", where="barn")
    crew.done("taken_down", "OH-S001-7")
    crew.now += timedelta(hours=1)
    crew.done("moved", where="barn")
    assert crew.book.state.where == "barn"


@given(DAYS, DAYS, DAYS, DAYS)
def test_two_stretches_meet_where_they_share_a_day(a, b, c, d):
    (first, last), (other, end) = sorted((a, b)), sorted((c, d))
    shared = {first + timedelta(n) for n in range((last - first).days + 1)} & {
        other + timedelta(n) for n in range((end - other).days + 1)}
    assert Promise("key", "barn", first, last).meets(other, end) == bool(shared)
