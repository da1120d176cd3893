"""Codes that parts carry from elsewhere: how they are compared, which numbers check themselves, whose they are."""

import unicodedata

from fieldapp.log.state import State

CHECKED_LENGTHS = (8, 12, 13, 14)
"""Digits of bar code numbers whose last one checks the others.
Source: GS1 General Specifications 7.9 (from memory). Test: tests/log/test_codes.py"""
LONGEST_SHOWN = 24
"""Codes with more characters, addresses mostly, are read by none (in no formula)."""
WEIGHTS = (3, 1)
"""Of the digits before the last, from the right [1].
Source: GS1 General Specifications 7.9 (from memory). Test: tests/log/test_codes.py"""


def code_key(text: str) -> str:
    """A code as it is compared: case and blanks tell nothing apart.

    Examples
    --------
    >>> code_key("  b 7 "), code_key("B7")
    ('B7', 'B7')
    """
    return "".join(unicodedata.normalize("NFKC", text).split()).upper()


def checks_itself(text: str) -> bool:
    """True for a bar code number whose check digit is right, so that a wrong digit would have shown.

    Source: GS1 General Specifications 7.9 (from memory). Test: tests/log/test_codes.py

    Examples
    --------
    >>> checks_itself("4006381333931"), checks_itself("4006381333932"), checks_itself("B7")
    (True, False, False)
    """
    digits = code_key(text)
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in CHECKED_LENGTHS:
        return False
    weighted = sum(int(digit) * WEIGHTS[place % 2] for place, digit in enumerate(reversed(digits[:-1])))
    return (weighted + int(digits[-1])) % 10 == 0


def parts_with_code(state: State, text: str) -> tuple[str, ...]:
    """IDs of the parts of which the log says that they carry this code, sorted."""
    key = code_key(text)
    return tuple(sorted(part for part, past in state.parts.items()
                        if past.codes and key in {code_key(code) for code in past.codes}))


def carried(state: State, part_id: str) -> str:
    """Old mark, paint and codes of a part as they are shown beside its ID, each once; empty if it carries none."""
    printed = [text.strip() for text in state.part(part_id).alias.split(",")]
    kept = [code for code in state.parts[part_id].codes if len(code) <= LONGEST_SHOWN]
    return ", ".join({code_key(text): text for text in (*printed, *kept) if text}.values())
