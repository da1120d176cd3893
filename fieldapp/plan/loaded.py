"""Limits of a stage as it bears loads: pushes, a foot that sits low or a carrier that lags, wind."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fieldapp.plan.bounds import CAP_VALUES, CAPS, Bearing, bounded, only
from fieldapp.plan.feet_bounds import low_free, pushes_borne, wind_by_feet
from fieldapp.statics import limits, wind
from fieldapp.statics.governs import FOLDS, LOW_HUB, Governs, Limit
from fieldapp.statics.tubes import TubeCapacity


def pushes_of(stage: Bearing, hubs: Iterable[str] | None, tubes: TubeCapacity | None) -> Mapping[str, Limit]:
    """Largest push at each hub, whatever its direction [N]; every hub that can move if none are named.

    Source: (P20), (P26). Test: tests/plan/test_stages.py, tests/plan/test_tolerances.py
    """
    if hubs is not None and tubes is None:
        return pushes_borne(stage, tuple(hubs))
    bear = replace(tubes or stage.case.tubes, locked=stage.case.tubes.locked)
    return bounded(limits.push_limits(stage.of, bear, hubs).values(), stage)


def level_of(stage: Bearing, kind: str, hubs: Sequence[str]) -> Limit:
    """How far one of these feet may sit low, or one of these carriers lag behind [mm].

    Source: (P12), (P20), (G10), (S14). Test: tests/plan/test_ways.py, tests/plan/test_feet_bounds.py
    """
    low = kind == LOW_HUB
    if low and low_free(stage):
        return Limit(LOW_HUB, CAP_VALUES[LOW_HUB], hubs[0], CAPS[LOW_HUB])
    numbers = np.array([stage.case.model.hub_index[hub] for hub in hubs], dtype=np.int64)
    idle = [hub for hub, number in zip(hubs, numbers, strict=True) if not stage.of.stage.fixed[number, 2]]
    if idle:        # a carrier that bears nothing is left behind
        return Limit(kind, 0.0, idle[0], Governs(FOLDS, hub=idle[0]))
    tubes = stage.case.tubes.under_weight if low else stage.case.tubes
    own = limits.lag_limit(stage.of, numbers, tubes, arms_left=stage.case.model.arm_lasting if low else 1.0)
    return only(bounded([replace(own, kind=kind)], stage))


def wind_of(stage: Bearing) -> wind.WindLimit:
    """Wind on the bare stage.

    Source: (P20), (G8), (S16). Test: tests/plan/test_stages.py, tests/plan/test_feet_bounds.py
    """
    by_feet = wind_by_feet(stage)
    own = by_feet or wind.wind_limit(stage.of, stage.case.tubes, terrain=stage.case.design.raising.terrain)
    found = by_feet or only(bounded([own], stage))
    return found if isinstance(found, wind.WindLimit) else own
