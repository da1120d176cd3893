"""Checks against ISO/IEC 18004, QR code bar code symbology specification, table of data capacities.

Characters that a symbol holds in alphanumeric mode, by version and level of error correction. Counts, so exact.
"""

import pytest

from labels.symbol import ALPHANUMERIC, QUIET_ZONE, make_symbol

CAPACITY = {
    1: (25, 20, 16, 10),
    2: (47, 38, 29, 20),
    3: (77, 61, 47, 35),
    4: (114, 90, 67, 50),
    5: (154, 122, 87, 64),
}


@pytest.mark.parametrize("version", CAPACITY)
@pytest.mark.parametrize("level", "LMQH")
def test_largest_alphanumeric_text_of_each_version(version, level):
    most = CAPACITY[version]["LMQH".index(level)]
    assert make_symbol("A" * most, level).version == version
    assert make_symbol("A" * (most + 1), level).version == version + 1


def test_size_grows_by_four_modules_a_version():
    for version in CAPACITY:
        assert make_symbol("A" * CAPACITY[version][1]).size == 17 + 4 * version


def test_quiet_zone_is_four_modules():
    symbol = make_symbol("A")
    assert QUIET_ZONE == 4
    assert symbol.full_size - symbol.size == 8


def test_alphanumeric_mode_has_45_characters():
    assert len(ALPHANUMERIC) == 45


def test_one_small_letter_costs_a_version():
    """The check can fail: the same length in small letters does not fit."""
    assert make_symbol("A" * 38).version == 2
    assert make_symbol("a" * 38).version == 3
