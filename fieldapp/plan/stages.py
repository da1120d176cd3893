"""One stage judged: what must be held, what its arms bear, how hard it may be pushed, what wind it stands.

Works for any set of fitted parts, planned or not. Cheap things are computed at once, dear ones when
they are asked for and then kept: on site a stage is judged after every entry.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.plan.bounds import SOURCES, Bearing, bounded, feet_to_peg, of_use, stands_for, weight_limit
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted, fitted_after
from fieldapp.plan.joint_bounds import ALL_SOURCES
from fieldapp.plan.loaded import level_of, pushes_of, wind_of
from fieldapp.plan.locked import LockedIn, locked_part
from fieldapp.plan.loose import loose_weight
from fieldapp.plan.motions import Motions, motions_of, smallest_holds
from fieldapp.plan.supports import Supports, carried_supports, kept_still, on_carriers, supported_stage
from fieldapp.statics import limits, loads, wind
from fieldapp.statics.free_ends import through_hub_limits
from fieldapp.statics.governs import ARM, FOLDS, LAG, LOW_HUB, PUSH, STABILITY, TUBE, WEIGHT, Governs, Limit
from fieldapp.statics.response import Response
from fieldapp.statics.solved import Solved, solved
from fieldapp.statics.stiffness import Unstable
from fieldapp.statics.tubes import TubeCapacity, most_used_tube

__all__ = ["Fitted", "StageAnalysis", "analysis", "fitted_after"]

SOURCES.update(ALL_SOURCES)


@dataclass(frozen=True, eq=False)
class StageAnalysis:
    """The stage with all its answers. Not slotted: answers are kept in the instance once asked for."""

    case: Case
    fitted: Fitted

    @property
    def feet(self) -> tuple[str, ...]:
        """Hubs on the ground for good, in the order of the frame; a piece on props has none."""
        return tuple(sorted(hub for hub in self.fitted.stands_on if self.case.frame.hub(hub).on_ground))

    def with_pegs(self, feet: Iterable[str]) -> "StageAnalysis":
        """The same stage with these feet held; what pegs do not change is not worked out again."""
        other, _kept = StageAnalysis(self.case, replace(self.fitted, pegged=tuple(feet))), self._kept
        vars(other).update({name: answer for name, answer in vars(self).items() if name in _WITHOUT_FEET})
        return other

    @cached_property
    def supports(self) -> Supports:
        """Ground, carriers and held hubs."""
        return {**carried_supports(self.case.frame, self.fitted.carried_at),
                **kept_still((*self.fitted.stands_on, *self.fitted.held))}

    @cached_property
    def tied(self) -> tuple[str, ...]:
        """Struts on two hubs."""
        return tuple(strut for strut, hubs in self._on.items() if len(hubs) == 2)

    @cached_property
    def loose(self) -> tuple[tuple[str, str], ...]:
        """(strut, hub) of each strut that hangs on one hub."""
        return tuple((strut, hubs[0]) for strut, hubs in self._on.items() if len(hubs) == 1)

    @cached_property
    def _on(self) -> dict[str, tuple[str, ...]]:
        """Strut → the hubs of the stage that hold it."""
        inside, gone = frozenset(self.fitted.hubs), self.case.arms_gone
        places = (self.case.frame.strut(strut) for strut in self.fitted.struts)
        return {place.name: tuple(end.hub for number, end in ((1, place.end_1), (2, place.end_2))
                                  if end.hub in inside and (place.name, number) not in gone) for place in places}

    @cached_property
    def motions(self) -> Motions:
        """How the pin-jointed twin can move."""
        return motions_of(self.case.frame, self.fitted.hubs, frozenset(self.tied), self.supports)

    @property
    def mechanisms(self) -> int:
        """m of Maxwell's rule."""
        return self.motions.count

    @property
    def self_stress(self) -> int:
        """s = b + c − 3 j + m (Calladine 1978).

        Source: (P4): Calladine, Int. J. Solids Structures 14, 1978. Test: tests/plan/test_stages.py
        """
        restraints = sum(len(self.supports.get(hub, ())) for hub in self.fitted.hubs)
        return len(self.tied) + restraints - 3 * len(self.fitted.hubs) + self.mechanisms

    @cached_property
    def holds(self) -> tuple[str, ...]:
        """The fewest hubs to hold so that geometry alone holds the rest."""
        return smallest_holds(self.motions, prefer=self.fitted.last)

    @cached_property
    def alone(self) -> Solved | Unstable:
        """The stage under its weight on its supports."""
        return self._solved(())

    @cached_property
    def solved(self) -> Solved | Unstable:
        """The same; if it does not stand alone, with the holds held."""
        return self.alone if isinstance(self.alone, Solved) else self._solved(self.holds)

    def _solved(self, held: Iterable[str]) -> Solved | Unstable:
        still = kept_still((*self.fitted.stands_on, *self.fitted.held, *held))
        return on_carriers(self.case.frame, self.fitted.carried_at, still, self._solved_on)

    def _solved_on(self, supports: Supports) -> Solved | Unstable:
        stage = supported_stage(self.case.model, self.fitted.hubs, self.tied, supports)
        return solved(stage, loads.weight(stage) + loose_weight(stage, self.loose) if self.loose else None)

    @property
    def stands(self) -> bool:
        """True if it stands on its supports, arms bending where geometry does not hold."""
        return isinstance(self.alone, Solved)

    @property
    def falls(self) -> tuple[str, ...]:
        """Hubs that would move without any resistance."""
        return self.alone.hubs if isinstance(self.alone, Unstable) else ()

    @cached_property
    def weight_utilisation(self) -> limits.ArmUtilisation:
        """Largest arm utilisation under its weight as it is; infinite if not even the holds make it stand."""
        if isinstance(self.solved, Unstable):
            return limits.ArmUtilisation(np.inf, "", next(iter(self.solved.hubs), ""), at_root=True)
        return limits.weight_utilisation(self.solved)

    @property
    def design_utilisation(self) -> float:
        """Largest arm utilisation under 1.35 × weight with what is locked in: above 1 it counts as breaking."""
        return self.design_arm.utilisation

    @property
    def pushed(self) -> tuple[str, ...]:
        """Hubs placed last that are free to move."""
        return tuple(hub for hub in self.fitted.last if len(self.supports.get(hub, ())) < 3 and self.carries(hub))

    def carries(self, hub: str) -> bool:
        """Whether a strut between two hubs is on it."""
        return any(len(self._on.get(arm.strut, ())) == 2 for arm in self.case.frame.hub(hub).arms)

    @cached_property
    def bearing(self) -> Bearing | None:
        """The stage as sources of bounds are given it; None if it does not stand."""
        if isinstance(self.solved, Unstable):
            return None
        return Bearing(self.case, self.fitted, self.solved, self.locked, whatever_feet=self._kept)

    @cached_property
    def _kept(self) -> dict[str, Any]:
        return {}

    @property
    def loaded(self) -> Bearing | None:
        """The same as it bears loads, with what is locked in."""
        return self.bearing.loaded if self.bearing else None

    @cached_property
    def locked(self) -> LockedIn | None:
        """What ill-fitting parts lock in, as far as it is known; None if nothing does, or it does not stand."""
        return None if isinstance(self.solved, Unstable) else locked_part(self.case, self.fitted, self.tied)

    def push_limits(self, hubs: Iterable[str] | None = None, *, tubes: TubeCapacity | None = None
                    ) -> Mapping[str, Limit]:
        """Largest push at each hub, whatever its direction [N]; every hub that can move if none are named."""
        if self.loaded is None:
            return {hub: Limit(PUSH, 0.0, hub, self._folds) for hub in (self.fitted.hubs if hubs is None else hubs)}
        return pushes_of(self.loaded, hubs, tubes)

    @cached_property
    def free_end_limits(self) -> Mapping[str, Limit]:
        """Largest push at the free end of each loose strut [N]: its own arm and tube, what it hangs on, and feet."""
        own = limits.free_end_limits(self.case.model, self.case.tubes, self.loose)
        return bounded(own.values(), self.loaded, self.through_hubs(self.loose, own))

    def through_hubs(self, loose: Sequence[tuple[str, str]], own: Mapping[str, Limit]) -> tuple[Limit, ...]:
        """The same of (strut, hub), by what they hang on."""
        loaded = self.loaded
        if loaded is None:
            return tuple(replace(own[strut], value=0.0, governs=self._folds) for strut, _ in loose)
        return through_hub_limits(loaded.of, loaded.case.tubes, loose, own)

    @cached_property
    def lag(self) -> Limit:
        """How far one hub on the ground may sit low, or one carrier lag behind; a single strut minds nothing [mm]."""
        kind, loaded, folds = LAG if self.fitted.carried_at else LOW_HUB, self.loaded, self._folds
        if loaded is None:
            return Limit(kind, 0.0, folds.hub if folds else "", folds)
        if len(self.tied) < 2:
            return Limit(kind, np.inf)
        return level_of(loaded, kind, [hub for hub in (*self.fitted.stands_on, *self.fitted.carried_at)
                                       if self.carries(hub)])

    @property
    def _folds(self) -> Governs | None:
        """What gives way of a stage that does not stand; None if it stands."""
        if isinstance(self.solved, Solved):
            return None
        return Governs(STABILITY if self.solved.buckles else FOLDS, hub=next(iter(self.solved.hubs), ""), under=WEIGHT)

    @cached_property
    def verdict(self) -> Limit:
        """How many times its design weight (1.35 × weight) it bears until an arm, a tube or all of it gives way.

        Below 1 it breaks. A loose foot that lifts or slides is no break: see `asks_for_pegs`.
        """
        return weight_limit(self.bearing, self._parts()) if self.bearing else Limit(WEIGHT, 0.0, "", self._folds)

    @property
    def use_on_firm_feet(self) -> float:
        """Share of what gives way first under its design weight, whatever its feet do: at least this, and cheap."""
        value = self.on_firm_feet.value
        return 1.0 / value if value > 0 else np.inf

    @property
    def on_firm_feet(self) -> Limit:
        """The verdict if its feet stayed where they are: loose ones only take from it."""
        return stands_for(self.bearing, self._parts()) if self.bearing else Limit(WEIGHT, 0.0, "", self._folds)

    def _parts(self) -> list[Limit]:
        """What arms and tubes bear of the design weight."""
        (tube, use), arm = self.design_tube, self.design_arm
        return [of_use(arm.utilisation, Governs(ARM, arm.strut, arm.hub)), of_use(use, Governs(TUBE, tube))]

    @cached_property
    def design_arm(self) -> limits.ArmUtilisation:
        """The most used arm under 1.35 × weight with what is locked in."""
        if self.locked and isinstance(self.solved, Solved):
            return self.locked.design_arm(self.solved)
        use = np.inf if isinstance(self.solved, Unstable) else self.solved.design_utilisation
        return replace(self.weight_utilisation, utilisation=use)

    @cached_property
    def asks_for_pegs(self) -> tuple[Limit, ...]:
        """Loose feet that lift or slide under the weight alone, each at its foot."""
        return feet_to_peg(self.bearing) if self.bearing else ()

    @cached_property
    def wind(self) -> wind.WindLimit | None:
        """Wind on the bare stage; None while it is carried or does not stand."""
        return None if self.fitted.carried_at or self.loaded is None or not self.tied else wind_of(self.loaded)

    @cached_property
    def tube(self) -> tuple[str, float]:
        """The most used tube under its weight, and its use."""
        answers = [] if isinstance(self.solved, Unstable) else [self.solved.weight]
        return most_used_tube(answers, self.case.tubes.under_weight)

    @cached_property
    def design_tube(self) -> tuple[str, float]:
        """The most used tube under 1.35 × weight with what is locked in, and its use: above 1 it counts as breaking."""
        weights = self._design_weights
        return most_used_tube(map(self.locked.with_weight, weights) if self.locked else weights,
                              self.case.tubes.under_weight)

    @property
    def _design_weights(self) -> list[Response]:
        return [] if isinstance(self.solved, Unstable) else [answer * GAMMA_G for answer in self.solved.weights]

    @property
    def breaks(self) -> bool:
        """True if it folds or buckles, or an arm or a tube is computed to break, under 1.35 × weight."""
        return self.verdict.value < 1.0

    @property
    def small_rotations(self) -> bool:
        """False where buckling is so near under its weight that the numbers of a stage end; True of one that folds."""
        return isinstance(self.solved, Unstable) or self.solved.small_rotations

    @property
    def max_displacement_mm(self) -> float:
        """Largest movement of a hub under its weight [mm]."""
        return self.solved.max_displacement_mm if isinstance(self.solved, Solved) else np.inf


_WITHOUT_FEET = frozenset({"supports", "tied", "loose", "_on", "motions", "holds", "alone", "solved", "locked",
                           "_kept"})
"""Answers that pegs do not change (in no formula)."""


def analysis(case: Case, fitted: Fitted) -> StageAnalysis:
    """The stage, its answers computed as they are asked for; FrameError if a place is not in the frame."""
    for hub in (*fitted.hubs, *fitted.stands_on, *fitted.carried_at, *fitted.held, *fitted.last):
        case.frame.hub(hub)
    return StageAnalysis(case, fitted)
