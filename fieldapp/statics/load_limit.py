"""How far a load case may grow on a stage until the first arm, tube or the stage itself gives way, second order."""

from collections.abc import Sequence

import numpy as np

from fieldapp.base.constants import GAMMA_Q
from fieldapp.statics.governs import Limit
from fieldapp.statics.growth import by_every_theory
from fieldapp.statics.growth_search import LoadStep, grown
from fieldapp.statics.loads import Load
from fieldapp.statics.solved import Solved
from fieldapp.statics.tubes import TubeCapacity


def load_limit(of: Solved, load: Load, tubes: TubeCapacity, *, kind: str, most: float) -> Limit:
    """The least of `load_limits` over all cases of the load; `at` is empty: the whole stage."""
    return min(load_limits(of, load, tubes, kind=kind, at=[""] * len(load.hubs_n), most=most),
               key=lambda limit: limit.value, default=Limit(kind, np.inf))


def load_limits(of: Solved, load: Load, tubes: TubeCapacity, *, kind: str, at: Sequence[str], most: float
                ) -> tuple[Limit, ...]:
    """Largest factor of each case of a load that all can bear, on top of the stage's weight, in second order.

    Source: (S11), (S27), (S30). Test: tests/statics/test_load_limit.py

    Parameters
    ----------
    of : Solved
        The stage under its weight.
    load : Load
        k cases, characteristic: weight counts 1.35 times and the load 1.5 times. A load of 1 N makes the factor a
        force in N.
    tubes : TubeCapacity
        What the tubes can take.
    kind : str
        Of the limits.
    at : sequence of str
        k places of the load, for `Limit.at`.
    most : float
        Factors beyond this are not looked for: a limit of `most` says "at least".

    Returns
    -------
    tuple of Limit
        k limits: 0 if the weight alone is too much, `most` with nothing that governs if all bear that.
    """
    step = LoadStep(load * GAMMA_Q)
    ends = np.full(len(at), most)
    found = by_every_theory(of, lambda one, cap: grown(one, step, tubes, most=ends if cap is None else cap))
    return tuple(Limit(kind, float(factor), place, governs)
                 for factor, place, governs in zip(found.factor, at, found.governs, strict=True))
