"""Part IDs as printed: prefix, letter and number, check character, e.g. `OH-S073-C`; and which IDs are near one typed.

Parts made on site are numbered by laptop, so that two that do not know of each other give no ID twice.
Reading what a person typed or a phone scanned is `kit.ids`.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from fieldapp.base.check_character import check_character
from fieldapp.base.words import _
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit, Part, PartKind

LETTER_OF_KIND: dict[PartKind, str] = {"hub": "H", "strut": "S"}
KIND_OF_LETTER: dict[str, PartKind] = {"H": "hub", "S": "strut"}

MOST_OFFERED = 5
"""Most parts offered (in no formula)."""
_LOOK_ALIKE = str.maketrans("OIL", "011")


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


def short_name(part_id: str, own: str = "") -> str:
    """The middle of a printed ID, as people say it; with its letters where these are not the `own` ones of the kit.

    Examples
    --------
    >>> short_name("OH-S073-C"), short_name("OH-S073-C", "OH"), short_name("OH-S073-C", "MD")
    ('S073', 'S073', 'OH-S073')
    """
    letters, number, _check = id_pieces(part_id)
    return f"{letters}-{number}" if own and letters and letters != own else number


@dataclass(frozen=True, slots=True)
class Slip:
    """A part, and the one slip that turns its ID into the text."""

    part: Part
    words: str
    rank: int
    """0 for slips that people make most: look-alike characters, a swapped pair, one left out."""


def nearest_parts(typed: str, kit: Kit) -> tuple[Slip, ...]:
    """Parts one slip away from `typed` (capitals and digits), likeliest slip first, five at most."""
    found = (slip for part in kit.parts if (slip := _slip(typed, part, kit)) is not None)
    return tuple(sorted(found, key=lambda slip: slip.rank)[:MOST_OFFERED])


def _slip(typed: str, part: Part, kit: Kit) -> Slip | None:
    """The slip from a part's ID to the text, if one is enough."""
    whole = compact(part.id)
    body = whole[len(kit.design.frame.prefix):]
    for target in (whole, body, whole[:-1], body[:-1]):
        if abs(len(typed) - len(target)) <= 1:
            found = _difference(typed, target)
            if found is not None:
                return Slip(part, *found)
    return None


def _difference(typed: str, target: str) -> tuple[str, int] | None:
    """Words and rank of the one difference between two texts; None if there are more, or none."""
    if typed.translate(_LOOK_ALIKE) == target.translate(_LOOK_ALIKE):
        return _look_alike(typed, target)
    if len(typed) == len(target):
        return _replaced(typed, target)
    at = next((i for i, (a, b) in enumerate(zip(typed, target, strict=False)) if a != b), min(len(typed), len(target)))
    if len(typed) < len(target) and typed[at:] == target[at + 1:]:
        return _("a character is missing ({character} in {id})").format(character=target[at], id=target), 0
    if len(typed) > len(target) and typed[at + 1:] == target[at:]:
        return _("there is one character too many ({character} beside {id})").format(character=typed[at], id=target), 1
    return None


def _look_alike(typed: str, target: str) -> tuple[str, int] | None:
    """O for 0, I or L for 1, or the other way round."""
    for a, b in zip(typed, target, strict=True):
        if a != b:
            return _("{typed} stands where the label has {printed}").format(
                typed=look_alike_name(a), printed=look_alike_name(b)), 0
    return None


def look_alike_name(character: str) -> str:
    """How to say which of two look-alike characters is meant.

    Examples
    --------
    >>> look_alike_name("0")
    'the digit 0'
    """
    words = _("the digit {character}") if character.isdigit() else _("the letter {character}")
    return words.format(character=character)


def _replaced(typed: str, target: str) -> tuple[str, int] | None:
    """A swapped pair, or one wrong character."""
    wrong = [i for i, (a, b) in enumerate(zip(typed, target, strict=True)) if a != b]
    if len(wrong) == 2 and wrong[1] == wrong[0] + 1 and typed[wrong[0]] + typed[wrong[1]] == (
            target[wrong[1]] + target[wrong[0]]):
        return _("{one} and {other} are swapped").format(one=target[wrong[0]], other=target[wrong[1]]), 0
    if len(wrong) == 1:
        return _("{typed} stands where {id} has {printed}").format(
            typed=typed[wrong[0]], id=target, printed=target[wrong[0]]), 1
    return None


BLOCK = 10
"""Numbers in a row. Of pairs of laptops that make up to ten parts of a kind each, one in 900 shares a block (in
9,000 for kinds of 800 places and more); joined, their logs then say which ID was given twice
(in no formula). Our choice."""


def first_site_number(frame: Frame, kind: PartKind) -> int:
    """Where these numbers begin: 1000, or the power of ten that leaves places a quarter as many spares."""
    places = len(frame.hubs if kind == "hub" else frame.struts)
    first = 1000
    while 4 * first <= 5 * places:
        first *= 10
    return first


def site_numbers(frame: Frame, kind: PartKind, laptop: str) -> Iterator[int]:
    """Numbers that a laptop gives, in order: ten, then the next ten that follow from its ID, and so on for ever.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> numbers = site_numbers(SimpleNamespace(hubs=(), struts=range(165)), "strut", "KQ2MZ7TA")
    >>> [next(numbers) for _ in range(11)]
    [7830, 7831, 7832, 7833, 7834, 7835, 7836, 7837, 7838, 7839, 2200]
    """
    first = first_site_number(frame, kind)
    for turn in count():
        digest = hashlib.sha256(f"{laptop} {turn}".encode()).digest()
        block = int.from_bytes(digest[:8]) % (9 * first // BLOCK)
        yield from range(first + block * BLOCK, first + (block + 1) * BLOCK)
