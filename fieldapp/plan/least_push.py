"""The least push that any of some hubs bears: the others are proven to bear more, not searched."""

from collections.abc import Sequence

import numpy as np

from fieldapp.plan.bounds import Bearing, bounded
from fieldapp.plan.feet_bounds import pushes_borne
from fieldapp.statics.governs import ARM, PUSH, Governs, Limit
from fieldapp.statics.pushes import bear_pushes

_MARGIN = 1.05
"""Hubs are left out that bear so many times the least [1]: more than what bounds on feet are found to.
Source: our choice. Test: tests/plan/test_forgives.py"""
_FARTHER = 2.2
"""How many times the least a hub is tried with on feet that stay (in no formula)."""
_TRIED_N = 1.0
"""With less no hub is tried (in no formula)."""


def least_push(stage: Bearing, hubs: Sequence[str], guess: str) -> Limit:
    """The least of `pushes_borne` of some hubs; of equal ones that of the first name.

    Parameters
    ----------
    stage : Bearing
        As it bears loads.
    hubs : sequence of str
        At least one.
    guess : str
        The one of them that may bear least: if it is, all others are only proven to bear more.

    Source: (S29), (G7). Test: tests/plan/test_forgives.py
    """
    found = pushes_borne(stage, (guess,))
    others = [hub for hub in hubs if hub != guess]
    found |= pushes_borne(stage, _may_bear_less(stage, others, found[guess].value))
    return min(found.values(), key=lambda limit: (limit.value, limit.at))


def _may_bear_less(stage: Bearing, hubs: Sequence[str], least_n: float) -> tuple[str, ...]:
    """Those of the hubs that are not proven to bear more than this."""
    if not hubs:
        return ()
    tried_n = max(_FARTHER * least_n, _TRIED_N)
    numbers = np.array([stage.case.model.hub_index[hub] for hub in hubs], dtype=np.int64)
    good = bear_pushes(stage.of, numbers, stage.case.tubes, np.full(len(hubs), tried_n))
    sure = [Limit(PUSH, tried_n, hub, Governs(ARM)) for hub, bears in zip(hubs, good, strict=True) if bears]
    more = {hub for hub, limit in bounded(sure, stage).items() if limit.value > _MARGIN * least_n}
    return tuple(hub for hub in hubs if hub not in more)
