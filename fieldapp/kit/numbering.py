"""Part IDs as printed: prefix, letter and number, check character, e.g. `OH-S073-C`.

Reading what a person typed or a phone scanned is `kit.ids`.
"""

from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import PartKind

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""The 36 characters of the check character system, in order of value.
Source: ISO/IEC 7064. Test: tests/reference/test_iso_7064.py"""

LETTER_OF_KIND: dict[PartKind, str] = {"hub": "H", "strut": "S"}
KIND_OF_LETTER: dict[str, PartKind] = {"H": "hub", "S": "strut"}


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


def format_id(prefix: str, kind: PartKind, number: int, *, width: int) -> str:
    """The printed ID of a part; `width` is the number of digits, filled up with zeros.

    Examples
    --------
    >>> format_id("OH", "strut", 73, width=3)
    'OH-S073-C'
    """
    body = f"{LETTER_OF_KIND[kind]}{number:0{width}d}"
    return f"{prefix}-{body}-{check_character(prefix + body)}"


def reads_as(prefix: str, kind: PartKind, number: int, *, width: int) -> str:
    """The printed ID, if it is one, that a number typed without its check character looks like: its last figure is
    taken for that character.

    Examples
    --------
    >>> reads_as("OH", "strut", 4711, width=3)
    'OH-S471-1'
    """
    return f"{prefix}-{LETTER_OF_KIND[kind]}{number // 10:0{width}d}-{number % 10}"


def number_width(frame: Frame, kind: PartKind) -> int:
    """Digits of a part number: as many as the frame's place names have."""
    name = frame.hubs[0].name if kind == "hub" else frame.struts[0].name
    return len(name) - 1


def compact(part_id: str) -> str:
    """A printed ID without its dashes, as it is compared.

    Examples
    --------
    >>> compact("OH-S073-C")
    'OHS073C'
    """
    return part_id.replace("-", "")


def id_pieces(part_id: str) -> tuple[str, str, str]:
    """Prefix, number as people say it, and check character of a printed ID; of anything else the whole as the number.

    Examples
    --------
    >>> id_pieces("OH-S073-C"), id_pieces("S073")
    (('OH', 'S073', 'C'), ('', 'S073', ''))
    """
    pieces = part_id.split("-")
    return (pieces[0], pieces[1], pieces[2]) if len(pieces) == 3 else ("", part_id, "")


def short_name(part_id: str) -> str:
    """The middle of a printed ID, as people say it.

    Examples
    --------
    >>> short_name("OH-S073-C")
    'S073'
    """
    return id_pieces(part_id)[1]
