"""The inspector's checklist: what to look at on each kind of part, how, and what passes."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from fieldapp.base.said import Number, Value, say
from fieldapp.kit.kit import Part, PartKind
from fieldapp.kit.seen_again import SeenAgain

Each = Literal["arm", "end"]
When = Literal["always", "in doubt"]
Use = Literal["length", "moisture"]
Result = Literal["pass", "fail"]


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the list."""

    item: str
    look: str
    """How to look, as an order to the inspector."""
    source: str
    """Where the line and its limits come from."""
    critical: bool = False
    """True: a part that fails is quarantined at once; else it is watched."""
    each: Each | None = None
    """Said of every arm of a hub or both ends of a strut, so that a failure names which."""
    when: When = "always"
    """"in doubt": may be left out if the part looks sound."""
    unit: str = ""
    """Of the measured value; empty for pass or fail."""
    at_least: float | None = None
    at_most: float | None = None
    counts_as: Use | None = None
    """Where the statics use the number: the part's length (limits are then differences from its own cut
    length) or its moisture."""

    @property
    def is_measured(self) -> bool:
        """True if a number is asked for."""
        return bool(self.unit)


@dataclass(frozen=True, slots=True)
class Checklist:
    """The lines by what they are said of, each in the order of the file."""

    hub: tuple[Check, ...]
    strut: tuple[Check, ...]
    label: tuple[Check, ...]
    """Of every part's labels."""
    seen_again: SeenAgain = field(default_factory=SeenAgain)
    """When an inspection is old: by the file as it is now, whatever list a round was opened with."""

    def lines(self, kind: PartKind) -> tuple[Check, ...]:
        """All lines for a kind of part: critical ones first, labels last."""
        own = self.hub if kind == "hub" else self.strut
        return (*sorted(own, key=lambda check: not check.critical), *self.label)

    def check(self, kind: PartKind, item: str) -> Check | None:
        """The line called `item`; None if the list has none."""
        return next((check for check in self.lines(kind) if check.item == item), None)

    def item_of(self, kind: PartKind, use: Use) -> str | None:
        """The name of the line whose number counts as length or moisture."""
        return next((check.item for check in self.lines(kind) if check.counts_as == use), None)


def limits_of(check: Check, part: Part) -> tuple[float | None, float | None]:
    """Least and greatest value that passes for this part."""
    base = part.cut_length_mm if check.counts_as == "length" and part.cut_length_mm is not None else 0.0
    low = None if check.at_least is None else base + check.at_least
    high = None if check.at_most is None else base + check.at_most
    return low, high


LENGTH_SHARE = (0.5, 1.5)
"""A pole measured shorter or longer than these shares of its cut length was not measured, or not in this unit.

Source: our choice: 108.5 for 1085 (cm for mm) and 1.5 fall out, a pole broken in its middle does not. Test:
tests/kit/test_checklist.py"""
PERCENT = (0.0, 100.0)
"""Moisture beyond is no reading on a part of a kit: green wood alone has more.

Source: our choice; common meters end below. Test: tests/kit/test_checklist.py"""
TIMES_LIMIT = 10.0
"""Any other number is measured again from this many times its greatest limit on.

Source: our choice: a shifted decimal point falls out. Test: tests/kit/test_checklist.py"""


def possible_of(check: Check, part: Part) -> tuple[float, float] | None:
    """Least and greatest value that can have been measured on this part; None where nothing is known of it."""
    if check.counts_as == "length" and part.cut_length_mm is not None:
        return LENGTH_SHARE[0] * part.cut_length_mm, LENGTH_SHARE[1] * part.cut_length_mm
    if check.unit == "%":
        return PERCENT
    known = [abs(limit) for limit in limits_of(check, part) if limit]
    if not known or (check.at_least is not None and check.at_least < 0):
        return None
    return 0.0, TIMES_LIMIT * max(known)


def result_of(check: Check, part: Part, value: float) -> Result:
    """Whether a measured value passes."""
    low, high = limits_of(check, part)
    return "fail" if (low is not None and value < low) or (high is not None and value > high) else "pass"


def limits_said(check: Check, part: Part) -> Value:
    """What a measured value must be, for a person; empty for pass or fail.

    Examples
    --------
    >>> pole = Part("OH-S001-K", "strut", 1, "A", "S001", 1.0, 1085.25)
    >>> in_words(limits_said(Check("length", "Tape.", "ours", unit="mm", at_least=-2, at_most=1, counts_as="length"),
    ...                      pole))
    '1083.2 to 1086.2 mm'
    >>> in_words(limits_said(Check("moisture", "Meter.", "ours", unit="%", at_most=20), pole))
    'at most 20 %'
    """
    if not check.is_measured:
        return ""
    low, high = (None if limit is None else Number(round(limit, 1), None) for limit in limits_of(check, part))
    if low is not None and high is not None:
        return say("{low} to {high} {unit}", low=low, high=high, unit=check.unit)
    if low is not None:
        return say("at least {low} {unit}", low=low, unit=check.unit)
    return say("at most {high} {unit}", high=high or "", unit=check.unit)


def needed_lines(checks: Sequence[Check]) -> tuple[Check, ...]:
    """Lines without which a check is not complete."""
    return tuple(check for check in checks if check.when == "always")
