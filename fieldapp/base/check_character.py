"""The check character at the end of a printed part ID."""

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""The 36 characters of the check character system, in order of value.
Source: ISO/IEC 7064. Test: tests/reference/test_iso_7064.py"""


def check_character(text: str) -> str:
    """Check character of `text` (digits and capitals) by the hybrid system MOD 37,36 [1]_.

    Source: ISO/IEC 7064, hybrid system MOD 37,36. Test: tests/reference/test_iso_7064.py

    Raises
    ------
    ValueError
        If `text` is empty or holds anything but digits and capital letters.

    Notes
    -----
    Catches every single wrong character and nearly every swap of neighbours.

    References
    ----------
    .. [1] ISO/IEC 7064, Check character systems, hybrid system MOD 37,36.

    Examples
    --------
    >>> check_character("A12425GABC1234002")
    'M'
    """
    if not text:
        raise ValueError("no characters to check")
    modulus = len(ALPHABET)
    carry = modulus
    for character in text:
        carry = (carry + ALPHABET.index(character)) % modulus or modulus
        carry = carry * 2 % (modulus + 1)
    return ALPHABET[(1 - carry) % modulus]
