"""Checks against ISO/IEC 7064, Check character systems, hybrid system MOD 37,36.

Examples published for this system (the standard itself was not re-read), and two counts.
"""

import pytest

from fieldapp.base.check_character import ALPHABET, check_character


@pytest.mark.parametrize(("text", "check"), [
    ("A12425GABC1234002", "M"),
    ("RABD", "A"),
    ("9", "J"),
    ("00000000C36D002B", "K"),
])
def test_published_examples(text: str, check: str) -> None:
    assert check_character(text) == check


def test_every_single_substitution_is_caught() -> None:
    # The property that the standard promises for its hybrid systems, tried on a whole ID.
    body = "OHS073"
    for at in range(len(body)):
        for other in ALPHABET.replace(body[at], ""):
            assert check_character(body[:at] + other + body[at + 1:]) != check_character(body)


def test_swaps_of_neighbours_are_caught_but_for_one_in_630() -> None:
    # 36 × 35 / 2 = 630 pairs in one position; the count of those missed is computed, not published.
    missed = [(a, b) for a in ALPHABET for b in ALPHABET if a < b and check_character(a + b) == check_character(b + a)]
    assert len(missed) == 1


def test_other_characters_are_refused() -> None:
    for text in ("", "oh", "OH-S073"):
        with pytest.raises(ValueError):
            check_character(text)
