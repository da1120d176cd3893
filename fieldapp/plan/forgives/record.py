"""What is asked of a whole frame besides standing: records of somebody who hangs, a ladder, a part that is lost."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldapp.base.units import newton_from_kg
from fieldapp.statics.limits import Limit

HANG, LADDER = "hang", "ladder"
"""Kinds of limit [N]: a weight on a hub or the middle of a strut; a push along the ground there."""

PERSON_N = 1000.0
"""Weight of one person who hangs still [N].
Source: our choice: a heavy adult; EN 1991-1-1 Table 6.10 asks as much of a roof. Test: tests/plan/test_forgives.py"""

LADDER_LOAD_KG = 100.0
"""A person on a ladder with what they carry [kg].
Source: common practice, no source. Test: tests/plan/test_forgives.py"""
LADDER_UP = 0.75
"""How far up the ladder they stand [1].
Source: our choice: the top rungs are left, more than half is usual. Test: tests/plan/test_forgives.py"""
LADDER_DEG = 75.0
"""Angle of a leaning ladder, about 1 out to 4 up [°].
Source: Danish construction safety, safe-construction.dk, 10 pieces of advice on ladders.
Test: tests/plan/test_forgives.py"""


def ladder_push_n(load_kg: float = LADDER_LOAD_KG) -> float:
    """Push along the ground of a leaning ladder on what it leans on: W · (x / L) · cot 75° [N].

    Source: (P21). Test: tests/plan/test_forgives.py

    Examples
    --------
    >>> round(ladder_push_n(), 0)
    197.0
    """
    return newton_from_kg(load_kg) * LADDER_UP / math.tan(math.radians(LADDER_DEG))


@dataclass(frozen=True, slots=True)
class Lost:
    """The frame without one part."""

    place: str
    """Hub or strut place; empty for the whole frame."""
    stands: bool
    """On its feet alone, without breaking under 1.35 × its weight."""
    use: float
    """Of the most used arm or tube under 1.35 × weight; infinite if it folds."""
    moves: tuple[str, ...] = ()
    """Hubs that move without resistance if it folds."""
    push: Limit | None = None
    """The least push that a hub bears; None if it does not stand."""
    wind: Limit | None = None
    """The gust that it bears; None if it does not stand."""


@dataclass(frozen=True, slots=True)
class Forgives:
    """What one whole frame forgives, as far as it is worked out."""

    hang: tuple[Limit, ...]
    """At every hub that is not held and in the middle of every strut, up to one person; none until all are known."""
    ladder: tuple[Limit, ...]
    """At the same places, up to what a ladder pushes."""
    whole: Lost
    """Nothing lost."""
    struts: tuple[Lost, ...] = ()
    hubs: tuple[Lost, ...] = ()
    pull_n: float = 0.0
    """Pull on a strut's end while one person hangs where that is let, design value [N]."""
    joint_n: float | None = None
    """Pull that a joint bears by the design's tests, counted in `hang` and `ladder`; None: nobody knows [N]."""
    to_do: int = 0
    """Parts whose loss is still to be worked out."""

    @property
    def lost(self) -> tuple[Lost, ...]:
        """All that are worked out."""
        return (*self.struts, *self.hubs)


def that_bear(limits: Sequence[Limit], force_n: float) -> tuple[str, ...]:
    """Places that bear a force, in the order given."""
    return tuple(limit.at for limit in limits if limit.value >= force_n)


def that_do_not(limits: Sequence[Limit], force_n: float) -> tuple[Limit, ...]:
    """Limits below a force, the weakest first."""
    return tuple(sorted((limit for limit in limits if limit.value < force_n), key=lambda each: (each.value, each.at)))


def worst_of(lost: Sequence[Lost]) -> Iterator[Lost]:
    """Those whose loss lets it fall or break, worst first; if there is none, the one that leaves the least push."""
    falls = sorted((each for each in lost if not each.stands), key=lambda each: (-each.use, each.place))
    yield from falls
    if not falls and lost:
        yield min(lost, key=lambda each: (each.push.value if each.push else 0.0, each.place))
