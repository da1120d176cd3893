"""Moments on the laptop's clock: against the C library's local time, summer time and winter time."""

import time
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.clock import LaptopZone, clock_words, later, moment_of, moment_text, utc_ms

needs_tzset = pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of a process cannot be changed here")
MOMENTS = st.datetimes(datetime(2001, 1, 1), datetime(2037, 1, 1), timezones=st.just(UTC))


@pytest.fixture(scope="module")
def summer_time():
    """One hour ahead of UTC, two in summer: from the last Sunday of March to that of October."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
        time.tzset()
        yield
    time.tzset()


@needs_tzset
@given(moment=MOMENTS)
@settings(deadline=None)
def test_the_laptops_zone_is_that_of_the_operating_system_at_every_moment(summer_time, moment):
    here, there = moment.astimezone(LaptopZone()), time.localtime(moment.timestamp())
    assert here.astimezone(UTC) == moment     # in a repeated hour no time of another zone is equal (PEP 495)
    assert here.utcoffset() == timedelta(seconds=there.tm_gmtoff)
    assert here.timetuple()[:5] == there[:5]


@needs_tzset
def test_a_moment_of_another_season_is_told_as_the_clock_showed_it_then(summer_time):
    winter = datetime(2026, 11, 20, 12, 0, tzinfo=UTC).astimezone(LaptopZone())
    assert clock_words(datetime(2026, 5, 1, 8, 0, tzinfo=UTC), winter) == "2026-05-01 10:00"
    assert clock_words(datetime(2026, 11, 20, 8, 0, tzinfo=UTC), winter) == "09:00"


@needs_tzset
@given(moment=MOMENTS, hours=st.sampled_from([1, 4, 12, 24, 48]))
@settings(deadline=None)
def test_glue_that_needs_hours_gets_them_when_the_clock_is_put_on(summer_time, moment, hours):
    now = moment.astimezone(LaptopZone())
    assert later(now, 60.0 * hours).astimezone(UTC) - moment == timedelta(hours=hours)


def test_a_text_without_zone_is_read_in_the_zone_given_and_in_none_by_itself():
    here = datetime.now().astimezone().tzinfo
    assert moment_of("2026-09-12T10:14", here) == datetime(2026, 9, 12, 10, 14, tzinfo=here)
    assert moment_of("2026-09-12T10:14+02:00", here) == datetime(2026, 9, 12, 8, 14, tzinfo=UTC)
    for text in ("2026-09-12T10:14", "ten past", "0001-01-01T00:00+23:00"):
        with pytest.raises(ValueError, match=r"time|isoformat"):
            moment_of(text)


@given(moment=MOMENTS)
def test_what_is_written_is_read_again_to_the_millisecond(moment):
    assert moment_of(moment_text(moment)) == utc_ms(moment)
