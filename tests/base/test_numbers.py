"""Numbers in five languages: digits never change, signs are those of Unicode's locale data (CLDR), read by Babel."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldapp.base.numbers import decimal, percent, shortest
from fieldapp.base.words import LANGUAGE_NAMES, printed_in

SIZES = st.floats(min_value=-1e7, max_value=1e7)
PLACES = st.integers(0, 4)


def test_numbers_are_written_as_each_language_writes_them():
    written = {}
    for language in LANGUAGE_NAMES:
        with printed_in(language):
            written[language] = (decimal(1234.56, 1, "mm"), shortest(0.5, "m/s"), decimal(-7.25, 2, "°"),
                                 percent(0.804))
    assert written == {"en": ("1234.6 mm", "0.5 m/s", "-7.25°", "80%"),
                       "nl": ("1234,6 mm", "0,5 m/s", "-7,25°", "80%"),
                       "de": ("1234,6 mm", "0,5 m/s", "-7,25°", "80\u00a0%"),
                       "fr": ("1234,6 mm", "0,5 m/s", "-7,25°", "80\u00a0%"),
                       "es": ("1234,6 mm", "0,5 m/s", "-7,25°", "80\u00a0%")}


@given(value=SIZES, places=PLACES)
def test_every_language_rounds_alike_and_english_is_pythons_own_text(value, places):
    assert (decimal(value, places), shortest(value), percent(value, places)) == (
        f"{value:z.{places}f}", f"{value:g}", f"{value:.{places}%}")
    assert (decimal(value, places, plus=True), shortest(value, plus=True)) == (f"{value:+z.{places}f}", f"{value:+g}")
    with printed_in("fr"):
        said = decimal(value, places), percent(value, places)
    assert [re.sub("[,\u00a0]", lambda sign: "." if sign[0] == "," else "", text) for text in said] == [
        f"{value:z.{places}f}", f"{value:.{places}%}"]


@pytest.mark.parametrize("value", [float("inf"), float("nan")])
def test_what_is_no_number_stays_what_it_is(value):
    with printed_in("de"):
        assert decimal(value, 1) == f"{value:.1f}"
        assert percent(value) == f"{value:.0%}"


def test_large_numbers_are_not_written_with_an_exponent_elsewhere():
    with printed_in("nl"):
        assert shortest(12_345_678.0) == "12345700"
