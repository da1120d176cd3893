"""The parts whose IDs lie one slip of the finger away from a text."""

from dataclasses import dataclass

from fieldapp.base.words import _
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import compact

MOST_OFFERED = 5
"""Most parts offered (in no formula)."""
_LOOK_ALIKE = str.maketrans("OIL", "011")


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
