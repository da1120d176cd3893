"""What to make this winter, so that each kit is likely to be fit: per class, with the chance behind it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import prod

from fieldapp.reports.pool.record import PoolKit
from fieldapp.reports.readiness.making import ClassKey, class_at, class_keys
from fieldapp.reports.readiness.spares import CHANCE, Odds, enough_spares, left_over
from fieldapp.reports.upkeep.due import Due, due
from fieldapp.reports.upkeep.pooled import PooledClass, pooled


@dataclass(frozen=True, slots=True)
class WinterRow:
    """One class of one kit."""

    key: ClassKey
    lacking: int
    """Places that have no usable part."""
    spares: int
    """Spares that are there."""
    more: int
    """Spares to add to those."""

    @property
    def make(self) -> int:
        """How many to make in all."""
        return self.lacking + self.more


@dataclass(frozen=True, slots=True)
class KitUpkeep:
    """One kit."""

    name: str
    called: str
    away: bool
    """Its log is away: this is as it left."""
    due: Due
    chance_now: float
    """That its next raise can be finished with what it has; 0 while places lack parts."""
    chance_then: float
    """… with what is to be made."""
    rows: tuple[WinterRow, ...]
    """Every class, hubs first."""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """All kits."""

    chance: float
    """Wanted for each of them."""
    kits: tuple[KitUpkeep, ...]
    classes: tuple[PooledClass, ...]


def upkeep(kits: Sequence[PoolKit], *, now: datetime, chance: float = CHANCE) -> Upkeep:
    """Due dates, pooled history, and what to make.

    Source: (R3), with the history of all kits of one make. Test: tests/reports/upkeep/test_pooled.py

    Parameters
    ----------
    kits : sequence of PoolKit
    now : datetime
    chance : float
        That each kit, by itself, does not run out in any class in its next raise; above 0 and below 1.
    """
    classes = pooled(kits)
    odds = {member: one.odds for one in classes for member in one.members}
    return Upkeep(chance, tuple(_kit(kit, odds, now, chance=chance) for kit in kits), classes)


def _kit(kit: PoolKit, odds: Mapping[tuple[str, ClassKey], Odds], now: datetime, *, chance: float) -> KitUpkeep:
    places = Counter(class_at(kit.kit, place) for place in kit.plan.step_of)
    usable = left_over(kit.state, {}, now)
    own = {key: odds[kit.name, key].on(places[key]) for key in class_keys(kit.kit)}
    have = Counter({key: max(0, usable[key] - places[key]) for key in own})
    then = enough_spares(own, have, chance)
    lacking = {key: max(0, places[key] - usable[key]) for key in own}
    rows = tuple(WinterRow(key, lacking[key], have[key], then[key] - have[key]) for key in own)
    now_chance = 0.0 if any(lacking.values()) else prod(one.chance(have[key]) for key, one in own.items())
    return KitUpkeep(kit.name, kit.called, kit.state.log_away is not None, due(kit.state, kit.checklist, now=now),
                     now_chance, prod(one.chance(then[key]) for key, one in own.items()), rows)
