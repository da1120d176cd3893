"""What a limit is: its number, where, what gives way first, under which load; and the least of several such limits.

Every room that finds out how much something bears gives `Limit`s: arms, tubes, stability, feet, joints. `least` keeps
the lowest with its cause. A new cause is one line in the table of `causes`.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from fieldapp.base.errors import StaticsError

PUSH, FREE_END, LOW_HUB, LAG, WIND, SPREAD = "push", "free end", "low hub", "lag", "wind", "spread"
"""Names of the kinds that statics works out; `plan.limits` has the table of them: unit, when, and how each is said (but
of hubs that are spread, which go with their strut)."""
WEIGHT = "own weight"
"""The kind of a stage's verdict: how many times its design weight (1.35 × weight) it bears; below 1 it gives way."""

ARM, TUBE, JOINT, HINGE, STABILITY, FOLDS = "arm", "tube", "joint", "hinge", "stability", "folds"
FOOT_LIFTS, FOOT_SLIDES, SLIDES, TIPS, PEG = "foot lifts", "foot slides", "slides", "tips", "peg"
FIT = "fit"
HANDS, SIGHT, LADDERS, UNKNOWN, UNTESTED = "hands", "sight", "ladders", "unknown", "untested"
"""Names of the causes; `causes.CAUSES` has the table of them: what each means, and how it is said."""


@dataclass(frozen=True, slots=True)
class Governs:
    """What gives way first."""

    what: str
    """Name of a cause."""
    strut: str = ""
    """The strut whose arm, tube or joint it is."""
    hub: str = ""
    """The hub whose arm or joint it is, the foot or peg, or the hub that moves most; of a strut that hangs on one hub,
    that hub; else empty for a tube."""
    under: str = ""
    """The load, where it is not that of the limit's kind on top of the weight: a kind's name."""
    taken: str = ""
    """How the feet were taken (history, springs, a foot that hangs free), in English, for engineers."""


@dataclass(frozen=True, slots=True)
class Bound:
    """A number and what gives way there."""

    value: float
    governs: Governs | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """The least of what all can bear: at `value` the design use of what governs is 1."""

    kind: str
    value: float
    """In the unit of its kind, design value; 0 if the weight alone is too much, infinite if nothing depends on it."""
    at: str = ""
    """Place of the load or the movement; empty: the whole stage."""
    governs: Governs | None = None
    """None where nothing gives way."""
    beyond: Bound | None = None
    """What the frame itself bears, where hands or eyes end before that; told to other programs only."""

    @property
    def frame(self) -> Bound:
        """What the frame itself bears, whatever people can do."""
        return self.beyond or Bound(self.value, self.governs)


def least(limits: Iterable[Limit]) -> Limit:
    """The lowest of several limits of one kind, with what governs it; of equal ones the first.

    Parameters
    ----------
    limits : iterable of Limit
        From as many sources as there are, at one place, or of the whole stage; one that is not a number counts as 0,
        cause unknown.

    Returns
    -------
    Limit
        The very record that is lowest, so that what a kind tells besides its value fits. Where hands or eyes end
        first, `beyond` is the least of the others.

    Raises
    ------
    StaticsError
        If there is none, or they are of several kinds.
    """
    found = [_known(limit) for limit in limits]
    if len({limit.kind for limit in found}) != 1:
        raise StaticsError(f"limits of one kind can be compared, got {sorted(limit.kind for limit in found)}")
    lowest = min(found, key=lambda limit: limit.value)
    if not ends_before(lowest):
        return lowest
    others = [limit.frame for limit in found if limit.beyond or not ends_before(limit)]
    return replace(lowest, beyond=min(others, key=lambda bound: bound.value, default=Bound(math.inf)))


def ends_before(limit: Limit) -> bool:
    """True if hands or eyes end before the frame gives way."""
    return limit.governs is not None and limit.governs.what in (HANDS, SIGHT, LADDERS)


def _known(limit: Limit) -> Limit:
    """The limit; 0 where it is not a number."""
    return replace(limit, value=0.0, governs=Governs(UNKNOWN)) if math.isnan(limit.value) else limit
