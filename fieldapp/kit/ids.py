"""Which part does a text mean: typed in any form, or read from a label.

What is accepted: any case; dashes, spaces or neither; with or without the prefix; a whole address
that ends in `/P/<ID>`; the strut end `.1` or `.2`; a number without its leading zeros; and, as
people do type `S73`, no check character, which is then said. All else is answered with what is
wrong and with the parts that come nearest.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

from fieldapp.base.check_character import check_character
from fieldapp.base.errors import PartIdError
from fieldapp.base.words import _, marked
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import (
    KIND_OF_LETTER,
    LETTER_OF_KIND,
    Slip,
    compact,
    first_site_number,
    format_id,
    look_alike_name,
    nearest_parts,
    number_width,
)

__all__ = ["Lookup", "check_character", "compact", "format_id", "named_part", "parse_part_id"]

MOST_TYPED = 300
"""Longer texts are not looked at: no address of a part is that long (in no formula)."""

NO_CHECK = marked("The check character was left out: compare the number with the label.")

_BETWEEN = re.compile(r"[\s\-‐-―−_.]+")
_BODY = re.compile(r"([HS])([0-9]+)([0-9A-Z]?)")
_OTHER_KIT = re.compile(r"([A-Z]{2,3})([HS][0-9]{2,})([0-9A-Z])")


@dataclass(frozen=True, slots=True)
class Lookup:
    """The part a text means, or what is wrong with the text."""

    part: Part | None
    end: int | None = None
    """Which end of a strut the label said: 1, 2 or None."""
    message: str = ""
    """Why there is no part; with a part, a remark (e.g. that the check character was left out)."""
    nearest: tuple[Part, ...] = ()
    """Parts that the text may have meant, likeliest first; none where it is another kit's: its own number here is
    another part."""
    other_kit: str = ""
    """The letters of the kit that it is of, where that is another one."""
    several: bool = False
    """True if the text means more than one part: those in `nearest`."""

    @property
    def found(self) -> bool:
        """True if the text means a part of this kit."""
        return self.part is not None


def parse_part_id(text: str, kit: Kit) -> Lookup:
    """The part of `kit` that `text` means, or a message with the nearest parts."""
    if len(text) > MOST_TYPED:
        return Lookup(None, message=_("That text has {count} characters; a part ID has at most 12. Scan again.").format(
            count=len(text)))
    shown, end = _cut_out(text)
    typed = _BETWEEN.sub("", shown)
    if not typed:
        return Lookup(None, message=_("No ID was given. Type it as printed, for example {id}.").format(
            id=kit.parts[0].id))
    part = _exact(typed, kit) or _checked(typed, kit) or _borrowed(typed, kit)
    if part is not None:
        return _with_end(part, end, "")
    part = _unchecked(typed, kit)
    if part is not None:
        return _with_end(part, end, _(NO_CHECK))
    return _other_kit(typed, kit) or _explained(typed, kit, shown=shown[:20])


def named_part(text: str, kit: Kit) -> tuple[Part, int | None]:
    """The part and strut end that `text` means; PartIdError with the nearest parts below, where it means none."""
    found = parse_part_id(text, kit)
    if found.part is None:
        near = ", ".join(part.id for part in found.nearest)
        raise PartIdError(f"{found.message}\n  Nearest in this kit: {near}" if near else found.message)
    return found.part, found.end


def _cut_out(text: str) -> tuple[str, int | None]:
    """The ID in capitals, cut out of an address if it stands in one, and the strut end."""
    text = unicodedata.normalize("NFKC", unquote(text)).strip().upper()
    if "/" in text:
        text = re.split(r"[?#]", text)[0].rstrip("/").rsplit("/", 1)[-1]
    found = re.fullmatch(r"(.*\w)\s*\.\s*([12])", text, re.DOTALL)
    return (found.group(1), int(found.group(2))) if found else (text, None)


def _with_end(part: Part, end: int | None, remark: str) -> Lookup:
    """A found part; a hub has no ends."""
    return Lookup(part, end if part.kind == "strut" else None, remark)


def _exact(typed: str, kit: Kit) -> Part | None:
    """The part whose whole ID, with or without prefix, was typed."""
    prefix = kit.design.frame.prefix
    for body in _bodies(typed, prefix):
        part = kit.by_id.get(f"{prefix}-{body[:-1]}-{body[-1:]}")
        if part is not None:
            return part
    return None


def _borrowed(typed: str, kit: Kit) -> Part | None:
    """A part of another kit that stands in here, by its whole ID."""
    found = _OTHER_KIT.fullmatch(typed)
    return kit.by_id.get("-".join(found.groups())) if found else None


def _checked(typed: str, kit: Kit) -> Part | None:
    """As `_exact`, with leading zeros left out; not where the digits alone name a part."""
    for letter, digits, check in _readings(typed, kit.design.frame.prefix):
        if check and _numbered(letter, digits + check, kit) is None:
            part = _numbered(letter, digits, kit)
            if part is not None and part.id[-1] == check:
                return part
    return None


def _unchecked(typed: str, kit: Kit) -> Part | None:
    """The part whose number was typed without a check character."""
    for body in _bodies(typed, kit.design.frame.prefix):
        if re.fullmatch(r"[HS][0-9]+", body):
            return _numbered(body[0], body[1:], kit)
    return None


def _bodies(typed: str, prefix: str) -> Iterator[str]:
    """What may be letter, number and check character: the text, and the text after the prefix."""
    if typed.startswith(prefix):
        yield typed[len(prefix):]
    yield typed


def _readings(typed: str, prefix: str) -> Iterator[tuple[str, str, str]]:
    """Letter, digits and check character (may be empty) that the text may be made of."""
    for body in _bodies(typed, prefix):
        if re.fullmatch(r"[HS][0-9]{2,}", body):
            yield body[0], body[1:-1], body[-1]
        elif found := _BODY.fullmatch(body):
            yield found.group(1), found.group(2), found.group(3)


def _numbered(letter: str, digits: str, kit: Kit) -> Part | None:
    """The part of that kind and number, if its number has no more digits than typed ones allow."""
    kind = KIND_OF_LETTER[letter]
    width = number_width(kit.frame, kind)
    if not digits.isdecimal() or len(digits) > max(width, len(str(int(digits)))):
        return None
    return kit.by_id.get(format_id(kit.design.frame.prefix, kind, int(digits), width=width))


def _other_kit(typed: str, kit: Kit) -> Lookup | None:
    """The answer to a correct ID of another kit."""
    found = _OTHER_KIT.fullmatch(typed)
    prefix = kit.design.frame.prefix
    if found is None or found.group(1) == prefix:
        return None
    other, body, check = found.groups()
    if check_character(other + body) != check:
        return None
    return Lookup(None, other_kit=other, message=_(
        "{id}: of kit {other}, not of this one. Put the part aside, or look at the label again.").format(
            id=f"{other}-{body}-{check}", other=other))


def _explained(typed: str, kit: Kit, *, shown: str) -> Lookup:
    """What is wrong with a text that means no part; `shown` is the text as it was given."""
    prefix = kit.design.frame.prefix
    for letter, digits, check in _readings(typed, prefix):
        part = _numbered(letter, digits, kit)
        only_number = check.isdigit() and len(digits + check) == number_width(kit.frame, KIND_OF_LETTER[letter])
        if part is not None and check and not only_number:
            return _wrong_check(typed, part, check, kit=kit)
        if only_number:
            return Lookup(None, message=_unknown(typed, kit, shown=shown))
    slips = nearest_parts(typed, kit)
    if slips:
        return Lookup(None, message=_("{text} is not a part of this kit: {slip}. Choose below, or look at the label "
                                      "again.").format(text=shown, slip=slips[0].words),
                      nearest=tuple(dict.fromkeys(slip.part for slip in slips)))
    return Lookup(None, message=_unknown(typed, kit, shown=shown))


def _wrong_check(typed: str, part: Part, check: str, *, kit: Kit) -> Lookup:
    """The number is one of ours, the check character is not its own: either may be mistyped."""
    slips = [slip for slip in nearest_parts(typed, kit) if slip.part is not part]
    words = _check_words(part, check, slips)
    parts = dict.fromkeys((part, *(slip.part for slip in slips)))
    if slips and slips[0].rank == 0:
        parts = dict.fromkeys((*(slip.part for slip in slips), part))
    return Lookup(None, message=words, nearest=tuple(parts)[:5])


def _check_words(part: Part, check: str, slips: list[Slip]) -> str:
    """Says which check character belongs to the number, and which slip is likelier, if any."""
    wanted = part.id[-1]
    if {check, wanted} in ({"O", "0"}, {"I", "1"}):
        return _("{id} ends in {wanted}, not in {given}. Choose it below if that is the part.").format(
            id=part.id, wanted=look_alike_name(wanted), given=look_alike_name(check))
    words = [_("The check character {check} does not belong to {number}, which ends in {wanted}: one character is "
               "wrong.").format(check=check, number=part.id[:-2], wanted=wanted)]
    if slips and slips[0].rank == 0:
        words.append(_("{id} fits if {slip}.").format(id=slips[0].part.id, slip=slips[0].words))
    return " ".join((*words, _("Choose below, or look at the label again.")))


def _unknown(typed: str, kit: Kit, *, shown: str) -> str:
    """Words for a text that resembles no part."""
    for letter, *_rest in _readings(typed, kit.design.frame.prefix):
        kind = KIND_OF_LETTER[letter]
        site = first_site_number(kit.frame, kind)
        own = f"{kit.design.frame.prefix}-"
        numbers = [p.number for p in kit.parts if p.kind == kind and p.number < site and p.id.startswith(own)]
        width = number_width(kit.frame, kind)
        first, last = (f"{LETTER_OF_KIND[kind]}{n:0{width}d}" for n in (min(numbers), max(numbers)))
        words = _("{text} is not a part of this kit: its hubs run from {first} to {last}. Look at the label again.") \
            if kind == "hub" else _("{text} is not a part of this kit: its struts run from {first} to {last}. Look at "
                                    "the label again.")
        return words.format(text=shown, first=first, last=last)
    return _("{text} is not a part ID: allowed is {prefix}, then H or S, a number and a check character, such as {id}. "
             "Look at the label again.").format(text=shown, prefix=kit.design.frame.prefix, id=kit.parts[0].id)
