"""How often parts break and how long they last, by the history of all kits whose parts stand in for each other.

Parts of classes that may stand in for each other either way are of one make: what one kit went through tells of all.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fieldapp.kit.kit import PartKind
from fieldapp.reports.pool.alike import alike
from fieldapp.reports.pool.record import PoolKit
from fieldapp.reports.readiness.making import ClassKey, class_keys
from fieldapp.reports.readiness.spares import PRIOR, Odds, broke_in_raises, fitted_in_raises
from fieldapp.reports.readiness.survival import part_lives, share_whole

LEVEL = 0.9
"""Of the intervals that are told [1]: one time in twenty it is above, and one in twenty below.
Source: our choice. Test: tests/reports/upkeep/test_pooled.py"""
FEWEST_FITTED = 30
"""With fewer parts fitted in all raises nothing is said of how often they break.
Source: our choice: the interval then spans more than tenfold. Test: tests/reports/upkeep/test_pooled.py"""
FEWEST_BROKEN = 2
"""With fewer broken nothing is said of how long they last.
Source: our choice: one says nothing of scatter. Test: tests/reports/upkeep/test_pooled.py"""

KitClass = tuple[str, ClassKey]
"""(name of a kit, class)."""


@dataclass(frozen=True, slots=True)
class Rate:
    """Breakages in a hundred parts fitted."""

    likely: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Lasting:
    """Share still whole after so many raises, with its interval."""

    raises: int
    share: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PooledClass:
    """Classes of several kits that are one make."""

    members: tuple[KitClass, ...]
    kind: PartKind
    fitted: int
    """Parts fitted in all raises of all these kits, each raise counted."""
    broke: int
    rate: Rate | None
    """None: too few to say."""
    lasting: tuple[Lasting, ...]
    """Wherever the share falls; none: too few to say."""

    @property
    def odds(self) -> Odds:
        """With what was seen, for whoever asks how many spares suffice."""
        return Odds(*PRIOR[self.kind]).after(self.broke, self.fitted)


def pooled(kits: Sequence[PoolKit]) -> tuple[PooledClass, ...]:
    """Every class of every kit in one group with those that are one make with it; hubs first."""
    groups: list[list[KitClass]] = []
    by_name = {kit.name: kit for kit in kits}
    for kit in kits:
        for key in class_keys(kit.kit):
            for group in groups:
                if all(_one_make(by_name[name], other, kit, key) for name, other in group):
                    group.append((kit.name, key))
                    break
            else:
                groups.append([(kit.name, key)])
    return tuple(sorted((_of(group, by_name) for group in groups), key=lambda one: one.kind))


def _one_make(one: PoolKit, key: ClassKey, other: PoolKit, of: ClassKey) -> bool:
    """True if the spares of each class may stand in for the other; the classes of one kit never."""
    if one.name == other.name or key[0] != of[0]:
        return False
    return of[1] in alike(other.kit, one.kit, key).spares and key[1] in alike(one.kit, other.kit, of).spares


def _of(group: list[KitClass], kits: dict[str, PoolKit]) -> PooledClass:
    kind = group[0][1][0]
    fitted = sum(fitted_in_raises(kits[name].state)[key] for name, key in group)
    broke = sum(broke_in_raises(kits[name].state)[key] for name, key in group)
    lives = [life for name, key in group for life in part_lives(kits[name].state).get(key, [])]
    return PooledClass(tuple(group), kind, fitted, broke, rate_of(kind, fitted, broke) if fitted >= FEWEST_FITTED
                       else None, lasting_of(lives))


def rate_of(kind: PartKind, fitted: int, broke: int) -> Rate:
    """Breakages in a hundred parts fitted: the mean of the Gamma that history leaves, and its interval.

    Source: (R3): Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, 2.6 (from memory).
    Test: tests/reports/upkeep/test_pooled.py
    """
    from scipy.stats import gamma  # half a second to load, and only this report needs it

    shape, parts = PRIOR[kind][0] + broke, PRIOR[kind][1] + fitted
    low, high = (float(gamma.ppf(share, shape, scale=100.0 / parts)) for share in ((1 - LEVEL) / 2, (1 + LEVEL) / 2))
    return Rate(100.0 * shape / parts, low, high)


def lasting_of(lives: Sequence[tuple[int, bool]]) -> tuple[Lasting, ...]:
    """The Kaplan–Meier estimate with its interval (Greenwood, on the log-log scale).

    Source: (R4): Kaplan and Meier 1958; the interval by Greenwood's variance, as scipy has it.
    Test: tests/reports/upkeep/test_pooled.py

    Parameters
    ----------
    lives : sequence of (int, bool)
        Raises that each part lasted, and whether it then broke.
    """
    from scipy.stats import CensoredData, ecdf  # as above

    if sum(over for _life, over in lives) < FEWEST_BROKEN:
        return ()
    shares = share_whole([life for life, _over in lives], [over for _life, over in lives])
    found = ecdf(CensoredData(uncensored=[life for life, over in lives if over],
                              right=[life for life, over in lives if not over])).sf
    interval: Any = found.confidence_interval(LEVEL, method="log-log")
    low, high = interval.low.evaluate([at for at, _ in shares]), interval.high.evaluate([at for at, _ in shares])
    return tuple(Lasting(at, share, *_told(float(under), float(over), share))
                 for (at, share), under, over in zip(shares, low, high, strict=True))


def _told(low: float, high: float, share: float) -> tuple[float, float]:
    """An interval that cannot be computed, where none or all are left, is all that is possible on that side."""
    return (low if low == low else 0.0), (high if high == high else max(share, 1.0))
