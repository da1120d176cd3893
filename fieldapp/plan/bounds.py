"""What bounds a stage besides its arms and tubes: one function a source, one line in a table.

A source is asked for one kind of limit and answers with as many `Limit`s as it has something to say; the least of all
is what people are told (`bounded`). What hands and eyes end only cuts what the frame bears: it makes no promise where
nothing is known to give way.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any

from fieldapp.base.constants import GAMMA_G, WHOLE_BODY_PUSH_N
from fieldapp.plan.beside import LockIn, beside, lock_in
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.locked import LockedIn
from fieldapp.statics.buckling import buckles_beyond, strut_tension_n
from fieldapp.statics.causes import asks_for_pegs, is_unknown
from fieldapp.statics.feet.starts import HANGS_MM
from fieldapp.statics.governs import (
    ARM,
    FIT,
    FREE_END,
    HANDS,
    LAG,
    LOW_HUB,
    PUSH,
    SIGHT,
    STABILITY,
    TUBE,
    WEIGHT,
    Governs,
    Limit,
    least,
)
from fieldapp.statics.solved import Solved

MOST_LAG_MM = 100.0
"""More lag than this is never allowed: carriers keep each other in sight, and the eye sees it [mm].
Source: our choice. Test: tests/reports/standing/test_standing.py"""
LAG_BY_EYE_MM = 20.0
"""Unevenness that people who lift on a call, by eye, stay within [mm]; what bears less is set on props.
Source: common practice, no source. Test: tests/plan/test_weak_arms.py, tests/plan/test_hand_lifts.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Bearing:
    """A stage that stands, as sources are given it."""

    case: Case
    fitted: Fitted
    of: Solved
    known: LockedIn | None = None
    """What ill-fitting parts lock in, as far as it is known: it counts in the verdict."""
    weighed: "Bearing | None" = None
    """The stage under its weight alone, where this is the same stage as it bears loads; None of that one itself."""
    kept: dict[str, Any] = field(default_factory=dict, repr=False)
    """What was found out about the stage, kept with it."""
    whatever_feet: dict[str, Any] = field(default_factory=dict, repr=False)
    """The same as far as it is so whatever holds the feet."""

    @property
    def locked(self) -> LockIn:
        """What ill-fitting parts lock in, known or not."""
        if _LOCKED not in self.whatever_feet:
            model, struts = self.case.model, self.of.stage.struts
            self.whatever_feet[_LOCKED] = lock_in(self.case, self.fitted,
                                                  [model.strut_names[int(strut)] for strut in struts], self.known)
        found: LockIn = self.whatever_feet[_LOCKED]
        return found

    @property
    def loaded(self) -> "Bearing":
        """The stage as it bears loads: arms and tubes less what is locked into each.

        Source: (P25), (P26). Test: tests/plan/test_locked.py
        """
        if self.weighed is not None:
            return self
        if _LOADED not in self.kept:
            if _LOADED not in self.whatever_feet:
                self.whatever_feet[_LOADED] = beside(self.case, self.of, self.locked)
            case, of = self.whatever_feet[_LOADED]
            self.kept[_LOADED] = replace(self, case=case, of=of, weighed=self, kept={})
        found: Bearing = self.kept[_LOADED]
        return found


_LOCKED, _LOADED = "locked in", "as it bears loads"
"""Under which both are kept with a stage (in no formula)."""


Source = Callable[[Bearing, str, Sequence[Limit]], Iterable[Limit]]
"""Asked for (stage, kind, what arms and tubes bear on feet that stay: none for own weight); answers with limits of that
kind, each with its cause, at the same places for pushes; of the whole stage else."""

SOURCES: dict[str, Source] = {}
"""By name, in the order in which they are asked: feet, pegs, joints."""

CAPS: dict[str, Governs] = {PUSH: Governs(HANDS), FREE_END: Governs(HANDS), LAG: Governs(SIGHT),
                            LOW_HUB: Governs(SIGHT)}
"""What hands and eyes end."""
CAP_VALUES = {PUSH: WHOLE_BODY_PUSH_N, FREE_END: WHOLE_BODY_PUSH_N, LAG: MOST_LAG_MM, LOW_HUB: HANGS_MM}
"""Where they end it, in the unit of the kind; feet that hang free are looked at so far (in no formula)."""


def bounded(own: Iterable[Limit], stage: Bearing | None, besides: Iterable[Limit] = ()) -> dict[str, Limit]:
    """Limits of one kind with the bounds of every source and of hands and eyes: the least at each place.

    Parameters
    ----------
    own : iterable of Limit
        What arms and tubes bear; at several places for pushes, one for the whole stage else.
    stage : Bearing, optional
        The stage as it bears loads; without one (it does not stand) only hands and eyes count.

    besides : iterable of Limit, optional
        More bounds at the same places.

    Returns
    -------
    dict
        Place → limit, in the order of `own`. Equal to `own` where nothing else is known.
    """
    found = list(own)
    if not found:
        return {}
    kind, places = found[0].kind, [limit.at for limit in found]
    more = [*besides, *(limit for ask in SOURCES.values() for limit in (ask(stage, kind, found) if stage else ()))]
    if kind not in (PUSH, FREE_END):
        lowest = capped(least([*found, *more]))
        return {lowest.at: lowest}
    by_place = groupby(sorted([*found, *more], key=lambda limit: places.index(limit.at)), key=lambda limit: limit.at)
    return {place: capped(least(limits)) for place, limits in by_place}


def with_fit(verdict: Limit, stage: Bearing | None) -> Limit:
    """The verdict in the one frame of twenty in which tolerances lock most into the worst arm or tube: told beside.

    Source: (P26). Test: tests/plan/test_tolerances.py
    """
    if stage is None or not stage.locked.worst or verdict.value < 1.0:
        return verdict
    governs = verdict.governs if verdict.governs and verdict.governs.what in (ARM, TUBE) else Governs(FIT)
    return of_use(1.0 / verdict.value + stage.locked.worst, replace(governs, what=FIT))


def capped(limit: Limit) -> Limit:
    """The limit as far as hands push and eyes see; one at which nothing is known to give way stays as it is."""
    if limit.kind not in CAPS or math.isinf(limit.value):
        return limit
    return least([limit, Limit(limit.kind, CAP_VALUES[limit.kind], limit.at, CAPS[limit.kind])])


def only(limits: Mapping[str, Limit]) -> Limit:
    """The one limit of a whole stage."""
    (limit,) = limits.values()
    return limit


def of_use(use: float, governs: Governs) -> Limit:
    """How many times the design weight is borne where this is used so much by it."""
    return Limit(WEIGHT, 1.0 / use, "", governs) if use > 0 else Limit(WEIGHT, math.inf)


def weight_limit(stage: Bearing, own: Iterable[Limit]) -> Limit:
    """How many times its design weight a stage bears: the least of arms and tubes, its stability and all that breaks.

    Source: (P20). Test: tests/plan/test_bounds.py

    Parameters
    ----------
    stage : Bearing
    own : iterable of Limit
        Of arms and of tubes.
    """
    more = (limit for limit in _of_weight(stage) if not (asks_for_pegs(limit) or is_unknown(limit)))
    return least([stands_for(stage, own), *more])


def stands_for(stage: Bearing, own: Iterable[Limit]) -> Limit:
    """The same on feet that stay: arms, tubes and stability."""
    parts = least(own)
    return least([parts, stability_limit(stage.of, parts.value)])


def feet_to_peg(stage: Bearing) -> tuple[Limit, ...]:
    """Loose feet that lift or slide under 1.35 × weight already, or of which nobody knows whether they stand."""
    return tuple(limit for limit in _of_weight(stage)
                 if limit.value < 1.0 and (asks_for_pegs(limit) or is_unknown(limit)))


def _of_weight(stage: Bearing) -> Iterable[Limit]:
    """What the sources say of the weight alone."""
    return (limit for ask in SOURCES.values() for limit in ask(stage, WEIGHT, ()))


def stability_limit(of: Solved, below: float) -> Limit:
    """Times the design weight until the stage buckles, if that is less than what arms and tubes bear; else infinite.

    Source: (S13): EN 1993-1-1 5.2.1 (3). Test: tests/plan/test_bounds.py

    Parameters
    ----------
    of : Solved
    below : float
        What arms and tubes bear, times the design weight: comparing costs less than the factor itself.
    """
    if math.isinf(below) or below <= 0 or not len(of.stage.struts):
        return Limit(WEIGHT, math.inf)
    tension_n = strut_tension_n(of.first_weight)[0] * GAMMA_G
    if buckles_beyond(of.first_ready, tension_n, below):
        return Limit(WEIGHT, math.inf)
    return Limit(WEIGHT, of.buckling_factor, "", Governs(STABILITY))
