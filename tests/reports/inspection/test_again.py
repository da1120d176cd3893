"""Inspections turn old by time, wettings and raises, each alone, and not while the raise runs."""

from datetime import UTC, datetime, timedelta

import pytest

from fieldapp.base.clock import whole_months
from fieldapp.base.said import in_words
from fieldapp.kit.seen_again import SeenAgain
from fieldapp.reports.inspection.again import inspected_parts, old_check, old_checks, old_said

LONG = SeenAgain(months=60, wettings=100, raises=100)


@pytest.fixture
def seen(tiny_bare):
    """H01 and H02 are inspected."""
    tiny_bare.log("round_opened", name="spring")
    for place in ("H01", "H02"):
        tiny_bare.check(tiny_bare.part_for(place))
    return tiny_bare


def raised(shed, part, *came_in):
    shed.log("raise_started", name="a raise", by="chief", reason="a test")
    shed.log("fitted", part)
    shed.log("strike_started")
    shed.log("stored", part, bundle="H1", came_in=came_in or ("dry",))
    shed.log("raise_ended")


def why(shed, part, limits=LONG, later=timedelta()):
    found = old_check(shed.state, part, limits, now=shed.now + later)
    return in_words(found.said) if found else ""


def test_by_time(seen):
    part, year = seen.part_for("H01"), SeenAgain(months=12, wettings=100, raises=100)
    assert why(seen, part, year, timedelta(days=364)) == ""
    assert why(seen, part, year, timedelta(days=365)) == "to be seen again: looked at 12 months ago"
    assert why(seen, part, year, timedelta(days=430)) == "to be seen again: looked at 14 months ago"
    assert why(seen, seen.part_for("H03"), year, timedelta(days=430)) == ""     # never seen: that is said otherwise
    seen.now += timedelta(days=430)
    assert inspected_parts(seen.state, year, now=seen.now) == frozenset()
    seen.check(part)
    assert inspected_parts(seen.state, year, now=seen.now) == {part}
    assert why(seen, part, year, -timedelta(days=1000)) == ""                   # a clock put back


def test_by_wettings_and_a_check_begins_anew(seen):
    part, once, twice = seen.part_for("H01"), SeenAgain(60, 1, 100), SeenAgain(60, 2, 100)
    seen.log("stored", part, bundle="H1", came_in=("dirty",))
    assert why(seen, part, once) == ""
    seen.log("stored", part, bundle="H1", came_in=("wet",))
    assert (why(seen, part, once), why(seen, part, twice)) == ("to be seen again: wetted since", "")
    soaked = seen.log("damaged", part, what="soaked", severity="slight")
    assert why(seen, part, twice) == "to be seen again: wetted 2 times since"
    seen.log("withdrawn", entry=soaked.key, reason="the other hub")
    assert why(seen, part, twice) == ""
    seen.check(part)
    assert why(seen, part, once) == ""


def test_by_hours_standing_in_raises_that_are_over(seen):
    part, weeks = seen.part_for("H01"), SeenAgain(60, 100, 100, 300)
    seen.log("raise_started", name="fair", by="chief", reason="a test")
    seen.log("fitted", part)
    seen.now += timedelta(hours=299)
    assert why(seen, part, weeks, timedelta(hours=9)) == ""         # it still stands
    seen.log("strike_started")
    seen.log("stored", part, bundle="H1", came_in=("dry",))
    seen.log("raise_ended")
    assert why(seen, part, weeks) == ""
    seen.log("raise_started", name="fete", by="chief", reason="a test")
    seen.log("fitted", part)
    seen.now += timedelta(hours=2)
    seen.log("strike_started")
    seen.log("taken_down", part)
    seen.log("raise_ended")
    assert why(seen, part, weeks, timedelta(days=60)) == "to be seen again: stood 301 hours since"


def test_by_raises_of_which_the_running_one_does_not_count(seen):
    part, twice = seen.part_for("H01"), SeenAgain(60, 100, 2)
    raised(seen, part)
    assert why(seen, part, twice) == ""
    assert why(seen, part, SeenAgain()) == "to be seen again: raised since"
    raised(seen, part)
    assert why(seen, part, twice) == "to be seen again: raised 2 times since"
    assert why(seen, seen.part_for("H02"), SeenAgain()) == ""                   # it stayed in its box


def test_what_turns_old_while_the_frame_stands_counts_once_it_is_down(seen):
    part = seen.part_for("H01")
    seen.log("raise_started", name="summer", by="chief", reason="a test")
    seen.log("fitted", part)
    seen.log("damaged", part, what="soaked", severity="slight")
    seen.now += timedelta(days=430)
    assert why(seen, part, SeenAgain()) == ""
    seen.log("strike_started")
    seen.log("stored", part, bundle="H1", came_in=("wet",))
    assert why(seen, part, SeenAgain()) == ""
    seen.log("raise_ended")
    assert why(seen, part, SeenAgain()) == \
        "to be seen again: looked at 14 months ago, wetted 2 times since, raised since and stood 10320 hours since"


def test_what_was_old_when_the_raise_began_stays_so(seen):
    part = seen.part_for("H01")
    seen.now += timedelta(days=430)
    seen.log("raise_started", name="summer", by="chief", reason="a test")
    assert why(seen, part, SeenAgain()) == "to be seen again: looked at 14 months ago"


def test_the_kit_is_not_fit_until_they_are_seen_again(tiny_bare):
    bare = tiny_bare
    bare.check_all()
    assert bare.readiness().fit
    raised(bare, bare.part_for("H01"))
    ready = bare.readiness()
    assert in_words(ready.verdict) == "not fit: 1 of 36 parts to be seen again: 1 raised since"
    assert (ready.reasons[0].why, ready.reasons[0].parts) == ("again", (bare.part_for("H01"),))
    assert sum(count.inspected for count in ready.classes) == 35
    bare.check(bare.part_for("H01"))
    assert bare.readiness().fit


def test_several_are_told_by_reason(seen):
    raised(seen, seen.part_for("H01"))
    later = seen.now + timedelta(days=430)
    assert in_words(old_said(old_checks(seen.state, SeenAgain(), now=later))) == \
        "1 looked at 14 months ago and raised since; 1 looked at 14 months ago"


@pytest.mark.parametrize(("then", "now", "months"), [
    ((2026, 5, 2), (2027, 4, 29), 11), ((2026, 5, 2), (2027, 5, 2), 12),
    ((2026, 1, 31), (2026, 2, 28), 1), ((2026, 3, 1), (2026, 2, 1), 0), ((2024, 2, 29), (2025, 2, 28), 12)])
def test_months_are_those_of_the_calendar(then, now, months):
    assert whole_months(datetime(*then, tzinfo=UTC), datetime(*now, tzinfo=UTC)) == months
