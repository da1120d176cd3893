"""Every phone is told when the laptop's clock was set back or two laptops' logs clash."""

import dataclasses
from datetime import UTC, datetime, timedelta

from fieldapp.log.entry import Request
from fieldapp.log.state import Clash
from fieldapp.web.common.trouble import trouble_words

NOON = datetime(2026, 9, 12, 12, 0, tzinfo=UTC)


def test_a_clock_set_back_is_said_and_entries_are_kept_in_order(book):
    book.submit(Request("first-key-0000000", "fitted", "OH-H01-6"), NOON)
    assert trouble_words(book, NOON) == ()
    back = NOON - timedelta(minutes=47)
    book.submit(Request("second-key-000000", "taken_down", "OH-H01-6"), back)
    assert trouble_words(book, back) == (
        "The laptop's clock is 47 min behind the last entry. Set it right; entries are kept in their order all the "
        "same.",)
    assert [entry.kind for entry in book.state.entries] == ["fitted", "taken_down"]
    assert not book.state.fitted


def test_it_stands_on_every_page(book, phone):
    book.submit(Request("first-key-0000000", "fitted", "OH-H01-6"), datetime(2199, 1, 1, tzinfo=UTC))
    for page in ("/", "/log", "/find", "/P/OH-H01-6", "/ring/1"):
        assert "behind the last entry" in phone.words(page)


def test_clashes_are_said(book):
    book._state = dataclasses.replace(book.state, clashes=(Clash("k", "place H01 was taken"),))
    (line,) = trouble_words(book, NOON)
    assert line.startswith("1 entry had no effect")


def test_a_way_that_is_not_followed_is_said(book):
    book.follow(book.site.plan, "crown first", trouble="it breaks.")
    assert trouble_words(book, NOON) == ("The way of raising that the log chose is not followed: it breaks.",)
