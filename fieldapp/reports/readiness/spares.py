"""How many spares of each class, so that the raise can most likely be finished: from the kit's own history.

Breakages of a class are taken as Poisson, their rate for each part fitted as Gamma: what the kit went
through updates a stated prior, and what the next raise will break is then negative binomial [1]_.

References
----------
.. [1] Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, sections 2.6 and 2.7 (from memory).
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from math import prod

from fieldapp.kit.kit import Kit, PartKind
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.parts import usable_parts
from fieldapp.reports.parts.history import breaks, part_uses
from fieldapp.reports.readiness.making import ClassKey, MakingList, class_at, class_keys, making_list

CHANCE = 0.95
"""Chance of finishing that spares are wanted for [1].
Source: our choice. Test: tests/reference/test_poisson_table.py"""

PRIOR: dict[PartKind, tuple[float, float]] = {"hub": (0.5, 25.0), "strut": (0.5, 100.0)}
"""What is taken for granted before the kit has a history: breakages, in so many parts fitted [1]. One hub in fifty and
one
strut in two hundred, believed no more firmly than one raise of a small frame.
Source: our choice (R3). Test: tests/reference/test_gamma_poisson.py"""


@dataclass(frozen=True, slots=True)
class SpareRow:
    """One class."""

    kind: PartKind
    part_class: str
    places: int
    """Places of the plan that take it."""
    fitted: int
    """Parts fitted in all raises so far, each raise counted."""
    broke: int
    """Of these, put out of use."""
    expected: float
    """Breakages expected in the next raise."""
    alone: int
    """Spares that suffice with the chance wanted, were this the only class."""
    wanted: int
    """Spares so that all classes together suffice with that chance, had the kit none."""
    have: int
    """Usable parts beyond the places."""
    to_make: int
    """Spares to add to those, so that all classes together have the chance wanted."""


@dataclass(frozen=True, slots=True)
class Spares:
    """All classes, hubs first."""

    chance: float
    """The chance wanted."""
    chance_now: float
    """The chance with the spares that are there."""
    chance_then: float
    """… and with those that are to be made."""
    rows: tuple[SpareRow, ...]
    making: MakingList
    """The spares to make; places without a part are not in it."""


def spares(kit: Kit, plan: Plan, state: State, *, now: datetime, chance: float = CHANCE) -> Spares:
    """The spares that a raise by this plan should have.

    Source: (R3): Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, 2.6 and 2.7 (from memory).
    Test: tests/reference/test_gamma_poisson.py, tests/reference/test_poisson_table.py

    Parameters
    ----------
    kit, plan, state
    now : datetime
        Parts whose glue is not dry by then are not counted.
    chance : float
        Of not running out in any class, above 0 and below 1.

    Returns
    -------
    Spares

    Notes
    -----
    With x breakages among N parts fitted, and prior (a, b), the number that breaks among n is negative
    binomial with shape a + x and p = (b + N) / (b + N + n). Spares are added one by one where they raise
    the joint chance most; since each class's distribution function is log-concave, no fewer spares in
    all would do. Breakages during raises count if the part was put out of use; lost parts do not.
    """
    places = Counter(class_at(kit, place) for place in plan.step_of)
    fitted, broke = fitted_in_raises(state), broke_in_raises(state)
    have = left_over(state, places, now)
    odds = {key: Odds(*PRIOR[key[0]]).after(broke[key], fitted[key]).on(places[key]) for key in class_keys(kit)}
    wanted, then = enough_spares(odds, Counter(), chance), enough_spares(odds, have, chance)
    rows = tuple(SpareRow(*key, places[key], fitted[key], broke[key], odds[key].mean, odds[key].quantile(chance),
                          wanted[key], have[key], then[key] - have[key]) for key in class_keys(kit))
    return Spares(chance, prod(odds[key].chance(have[key]) for key in odds),
                  prod(odds[key].chance(then[key]) for key in odds), rows,
                  making_list(kit, (), {(row.kind, row.part_class): row.to_make for row in rows}))


@dataclass(frozen=True, slots=True)
class Odds:
    """A Gamma rate, so many breakages among so many parts fitted, asked for a number of parts to be fitted."""

    breakages: float
    fitted: float
    parts: int = 0

    def after(self, breakages: int, fitted: int) -> "Odds":
        """With what was seen."""
        return Odds(self.breakages + breakages, self.fitted + fitted)

    def on(self, parts: int) -> "Odds":
        """Asked for so many parts."""
        return Odds(self.breakages, self.fitted, parts)

    @property
    def mean(self) -> float:
        """Breakages expected."""
        return self.parts * self.breakages / self.fitted

    def chance(self, spares: int) -> float:
        """Chance that no more than `spares` break.

        Source: (R3). Test: tests/reference/test_gamma_poisson.py
        """
        from scipy.stats import nbinom  # half a second to load, and only this report needs it

        return float(nbinom.cdf(spares, self.breakages, self.fitted / (self.fitted + self.parts)))

    def quantile(self, chance: float) -> int:
        """Least number of spares with at least that chance."""
        from scipy.stats import nbinom  # as above

        return int(nbinom.ppf(chance, self.breakages, self.fitted / (self.fitted + self.parts)))


def enough_spares(odds: Mapping[ClassKey, Odds], have: Mapping[ClassKey, int], chance: float) -> Counter[ClassKey]:
    """Spares by class: those there, and more where they help most until all classes together have the chance."""
    spares = Counter({key: have.get(key, 0) for key in odds})
    now = {key: one.chance(spares[key]) for key, one in odds.items()}
    then = {key: one.chance(spares[key] + 1) for key, one in odds.items()}
    while prod(now.values()) < chance:
        best = max(odds, key=lambda key: then[key] / now[key])
        spares[best] += 1
        now[best], then[best] = then[best], odds[best].chance(spares[best] + 1)
    return spares


def fitted_in_raises(state: State) -> Counter[ClassKey]:
    """Parts of each class fitted in all raises, each raise counted."""
    counts: Counter[ClassKey] = Counter()
    for use in part_uses(state):
        part = state.part(use.part)
        counts[part.kind, part.part_class] += use.raises
    return counts


def broke_in_raises(state: State) -> Counter[ClassKey]:
    """Parts of each class put out of use in raises, each at most once a raise."""
    seen = {(broken.part, broken.raise_name) for broken in breaks(state)
            if broken.raise_name and broken.severity != "slight"}
    return Counter((state.part(part).kind, state.part(part).part_class) for part, _ in seen)


def left_over(state: State, places: Mapping[ClassKey, int], now: datetime) -> Counter[ClassKey]:
    """Usable parts of each class beyond those places."""
    usable = Counter((part.kind, part.part_class) for part in usable_parts(state, now))
    return Counter({key: max(0, usable[key] - places.get(key, 0)) for key in usable})
