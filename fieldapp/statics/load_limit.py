"""How far a load case may grow on a stage until the first arm or tube reaches its design value."""

from collections.abc import Sequence

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics.limits import Limit, Solved, governing_arm, governing_tube
from fieldapp.statics.loads import Load
from fieldapp.statics.response import Response, load_factors, response, weakest_station
from fieldapp.statics.tube_limits import EXACT
from fieldapp.statics.tubes import TubeCapacity, tube_utilisation


def load_limit(of: Solved, load: Load, tubes: TubeCapacity, *, kind: str, most: float) -> Limit:
    """The least of `load_limits` over all cases of the load; `at` is empty: the whole stage."""
    return min(load_limits(of, load, tubes, kind=kind, at=[""] * len(load.hubs_n), most=most),
               key=lambda limit: limit.value, default=Limit(kind, np.inf))


def load_limits(of: Solved, load: Load, tubes: TubeCapacity, *, kind: str, at: Sequence[str], most: float
                ) -> tuple[Limit, ...]:
    """Largest factor of each case of a load that all can bear, on top of the stage's weight.

    Source: (S11), (S16). Test: tests/statics/test_load_limit.py

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
    step = response(of.ready, load * GAMMA_Q)
    base = of.weight * GAMMA_G
    arms = np.minimum(load_factors(base.components[0], step.components), most)
    factors, struts = _tube_factors(base, step, tubes, arms)
    return tuple(Limit(kind, float(factor), place, governing_tube(of.stage, int(strut)) or (
        governing_arm(of.stage, weakest_station(base.components[0], step.components[case])) if factor < most else None))
        for case, (factor, strut, place) in enumerate(zip(factors, struts, at, strict=True)))


def _tube_factors(base: Response, step: Response, tubes: TubeCapacity, most: FloatArray) -> tuple[FloatArray, IntArray]:
    """(k,) largest factors that no tube minds, never above `most`, and the strut numbers that govern; -1 where none."""
    def use(factors: FloatArray) -> FloatArray:
        # (case, strut, station, component)
        each = Response(step.stage, step.displacements, base.arms + factors[:, None, None, None] * step.arms,
                        base.load + _scaled(step.load, factors))
        return tube_utilisation(each, tubes)

    if not len(base.stage.struts):
        return most, np.full(len(most), -1)
    low, high = np.zeros(len(most)), most.copy()
    used = use(high)
    over, strut = used.max(axis=1) > 1.0, used.argmax(axis=1)
    while (high - low > EXACT * high)[over].any():
        middle = (low + high) / 2
        used = use(middle)
        fits = used.max(axis=1) <= 1.0
        strut = np.where(fits, strut, used.argmax(axis=1))
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return np.where(over, low, most), np.where(over, base.stage.struts[strut], -1)


def _scaled(load: Load, factors: FloatArray) -> Load:
    """Every case times its own factor."""
    return load * factors[:, None, None]  # (case, hub or strut, dof)
