"""How far a load may grow until the first tube reaches its design value: a given one, or a push from anywhere."""

from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import (
    TubeCapacity,
    bent_at_most_nmm,
    moments_of,
    push_and_pull,
    tube_parts_nmm,
    use_of,
    utilisation_of,
)

EXACT = 1e-3
"""Limits of tubes are found to within this share of themselves, from below [1].
Source: our choice. Test: tests/statics/test_limits.py"""
STRONGEST_PUSH_N = 1e6
"""Pushes beyond this count as this [N]. Source: our choice, a hundred tonnes. Test: tests/statics/test_limits.py"""
LEAST_PUSH_N = 1e-3
"""Pushes closer than this are one [N]. Source: our choice, a tenth of a gram. Test: tests/statics/test_limits.py"""


@dataclass(frozen=True, slots=True)
class TubeBound:
    """Where the first tube reaches its design value."""

    factor: float
    """Of the load that grows; what was asked for at most where no tube does."""
    strut: int
    """Number of the strut; -1 where none gets there."""


def tube_bound(weight: Response, growing: Response, capacity: TubeCapacity, most: float) -> TubeBound:
    """Largest factor up to `most` for which no tube is used beyond 1 under weight + factor × any of the cases.

    Cases that still fit at a factor that is too much for another are dropped, and tubes that fit at the highest one
    in all cases, those first of which their ends tell it.

    Source: (S16). Test: tests/statics/test_limits.py
    """
    tubes = _LinearTubes(weight, growing, capacity)
    left = tubes.keep_near(np.full(len(growing.arms), most))
    low, high = 0.0, most
    utilisations = tubes.utilisations(left, high)
    use = utilisations.max(axis=1, initial=0.0)
    if use.max(initial=0.0) <= 1.0:
        return TubeBound(most, -1)
    left = left[use > 1.0]
    tubes.keep(utilisations.max(axis=0) > 1.0)
    if tubes.worst(left[:1], 0.0)[0] > 1.0:     # nothing need grow
        high = 0.0
    while high - low > EXACT * high:
        middle = (low + high) / 2
        use = tubes.worst(left, middle)
        if use.max() <= 1.0:
            low = middle
        else:
            high, left = middle, left[use > 1.0]
    return TubeBound(low, int(tubes.struts[tubes.utilisations(left[:1], high)[0].argmax()]))


def tube_factors(weight: Response, growing: Response, capacity: TubeCapacity, most: FloatArray
                 ) -> tuple[FloatArray, IntArray]:
    """Largest factor of every case, (k,), that no tube minds, up to `most`, (k,); and the strut numbers that govern.

    Source: (S16). Test: tests/statics/test_load_limit.py
    """
    tubes = _LinearTubes(weight, growing, capacity)
    if not len(tubes.struts) or not len(most):
        return most, np.full(len(most), -1)
    low, high = np.zeros(len(most)), np.minimum(most, STRONGEST_PUSH_N)
    if not len(tubes.keep_near(high)):
        return most, np.full(len(most), -1)
    used = tubes.each(high)
    over, strut = used.max(axis=1) > 1.0, used.argmax(axis=1)
    used = tubes.each(low)
    fails = used.max(axis=1) > 1.0      # nothing need grow
    high, strut = np.where(fails, 0.0, high), np.where(fails, used.argmax(axis=1), strut)
    while (high - low > EXACT * high)[over].any():
        middle = (low + high) / 2
        used = tubes.each(middle)
        fits = used.max(axis=1) <= 1.0
        strut = np.where(fits, strut, used.argmax(axis=1))
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return np.where(over, low, most), np.where(over, tubes.struts[strut], -1)


class _LinearTubes:
    """Axial forces and moments of tubes as weight + factor × growing load."""

    def __init__(self, weight: Response, growing: Response, capacity: TubeCapacity) -> None:
        self.capacity, self.struts = capacity, weight.stage.struts
        self.axial = weight.arms[0, :, [1, 3], 0].T, growing.arms[:, :, [1, 3], 0]
        self.parts = tube_parts_nmm(weight)[0], tube_parts_nmm(growing)

    def keep(self, tubes: BoolArray) -> None:
        """Look no more at the other tubes."""
        self.struts = self.struts[tubes]
        self.axial = self.axial[0][tubes], self.axial[1][:, tubes]
        self.parts = self.parts[0][tubes], self.parts[1][:, tubes]

    def keep_near(self, factors: FloatArray) -> IntArray:
        """Keep the tubes that may pass 1, each case at its own factor; the cases that may.

        Source: (S18). Test: tests/statics/test_tube_uses.py
        """
        axial, parts = self._at(np.arange(len(factors)), factors)
        use = use_of(*push_and_pull(axial), bent_at_most_nmm(parts), self.capacity, self.struts)
        near = np.logical_not(use <= 1.0)
        self.keep(np.asarray(near.any(axis=0)))
        return np.flatnonzero(near.any(axis=1))

    def utilisations(self, cases: IntArray, factor: float) -> FloatArray:
        """(k, tubes) use of every tube for some of the cases."""
        axial, parts = self._at(cases, np.full(len(cases), factor))
        return utilisation_of(axial, moments_of(parts), self.capacity, self.struts)

    def each(self, factors: FloatArray) -> FloatArray:
        """(k, tubes) use of every tube, each case at its own factor."""
        axial, parts = self._at(np.arange(len(factors)), factors)
        return utilisation_of(axial, moments_of(parts), self.capacity, self.struts)

    def _at(self, cases: IntArray, factors: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(case, strut, end) axial forces and (case, strut, axis, share) moments."""
        axial = self.axial[0] + factors[:, None, None] * self.axial[1][cases]  # (case, strut, end)
        return axial, self.parts[0] + factors[:, None, None, None] * self.parts[1][cases]  # (case, strut, axis, share)

    def worst(self, cases: IntArray, factor: float) -> FloatArray:
        """(k,) largest tube utilisation for some of the cases."""
        return np.asarray(self.utilisations(cases, factor).max(axis=1, initial=0.0))


def pushed_tubes(weight: Response, unit: Response, capacity: TubeCapacity, most: FloatArray
                 ) -> tuple[FloatArray, IntArray]:
    """Largest push at each of h hubs, whatever its direction, that no tube minds; up to `most`.

    Source: (S23). Test: tests/statics/test_limits.py

    Parameters
    ----------
    weight : Response
        One case: what is there already, with its factor.
    unit : Response
        3 h cases: 1 N along x, y, z at each hub, with the push's factor.
    most : (h,) array
        What the arms bear [N]; finite where tubes are to be asked.

    Returns
    -------
    (h,) array, (h,) int array
        The push [N], never more than `most`; the number of the strut whose tube governs, -1 where none does.

    Notes
    -----
    The direction that pushes a tube most is not the one that bends it most. Both are counted together, which is never
    on the unsafe side, and at worst √2 times too careful where both matter equally.
    """
    if not len(weight.stage.struts) or not len(most):
        return most, np.full(len(most), -1)
    low, high = np.zeros(len(most)), np.minimum(most, STRONGEST_PUSH_N)
    family = _PushedTubes(weight, unit, capacity, len(most))
    if not family.keep_near(high):
        return most, np.full(len(most), -1)
    use = family.utilisations(high)
    too_much = use.max(axis=1, initial=0.0) > 1.0
    if not too_much.any():
        return most, np.full(len(most), -1)
    strut = use.argmax(axis=1)
    while (high - low > np.maximum(EXACT * high, LEAST_PUSH_N))[too_much].any():
        middle = (low + high) / 2
        use = family.utilisations(middle)
        fits = use.max(axis=1) <= 1.0
        strut = np.where(fits, strut, use.argmax(axis=1))
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return np.where(too_much, low, most), np.where(too_much, family.struts[strut], -1)


def pushed_tube_use(weight: Response, unit: Response, capacity: TubeCapacity, push_n: FloatArray) -> FloatArray:
    """(h, struts) use of every tube under weight and a push of that size at each of h hubs, from its worst directions.

    Source: (S23). Test: tests/statics/test_limits.py

    Parameters
    ----------
    weight : Response
        One case: what is there already.
    unit : Response
        3 h cases: 1 N along x, y, z at each hub.
    push_n : (h,) array
        Size of the push at each hub. [N]
    """
    if not len(weight.stage.struts) or not len(push_n):
        return np.zeros((len(push_n), len(weight.stage.struts)))
    return _PushedTubes(weight, unit, capacity, len(push_n)).utilisations(push_n)


class _PushedTubes:
    """What a push of any direction at each hub does to every tube: largest axial force and largest moment of each."""

    def __init__(self, weight: Response, unit: Response, capacity: TubeCapacity, hubs: int) -> None:
        struts = weight.stage.struts
        self.capacity, self.struts = capacity, struts
        self.axial_n = weight.arms[0, :, [1, 3], 0].T  # (strut, end)
        axial = unit.arms[:, :, [1, 3], 0].reshape(hubs, 3, len(struts), 2)  # (hub, direction, strut, end)
        self.axial_slope = np.sqrt(np.square(axial).sum(axis=1))  # (hub, strut, end)
        self._own = tube_parts_nmm(weight)[0]  # (strut, axis, share)
        self._parts = tube_parts_nmm(unit).reshape(hubs, 3, len(struts), 2, -1)  # (hub, direction, strut, axis, share)
        self._bent: tuple[FloatArray, FloatArray] | None = None

    def keep_near(self, push_n: FloatArray) -> bool:
        """Keep the tubes that may pass 1 under pushes of these sizes; False if none may.

        Source: (S18), (S23). Test: tests/statics/test_tube_uses.py
        """
        by_strut = self._parts.swapaxes(1, 2)  # (hub, strut, direction, axis, share)
        # (hub, strut, direction and axis, share)
        slope = bent_at_most_nmm(by_strut.reshape(*by_strut.shape[:2], 6, by_strut.shape[4]))
        moments = bent_at_most_nmm(self._own) + push_n[:, None] * slope
        near = np.logical_not(self._used(push_n, moments) <= 1.0).any(axis=0)
        self.struts, self.axial_n, self.axial_slope = self.struts[near], self.axial_n[near], self.axial_slope[:, near]
        self._own, self._parts = self._own[near], self._parts[:, :, near]
        return bool(near.any())

    def _along(self) -> tuple[FloatArray, FloatArray]:
        """(strut, place) moments under the weight, (hub, strut, place) what one newton from its worst side adds."""
        if self._bent is None:
            self._bent = (np.sqrt(np.square(moments_of(self._own)).sum(axis=2)),
                          _largest_singular(moments_of(self._parts)))
        return self._bent

    def _used(self, push_n: FloatArray, moments_nmm: FloatArray) -> FloatArray:
        """(h, struts) use under a push of that size at each hub, with these moments, (h, struts)."""
        grown = push_n[:, None, None] * self.axial_slope  # (hub, strut, end)
        push = np.maximum((grown - self.axial_n).max(axis=2), 0.0)
        pull = np.maximum((grown + self.axial_n).max(axis=2), 0.0)
        return use_of(push, pull, moments_nmm, self.capacity, self.struts)

    def utilisations(self, push_n: FloatArray) -> FloatArray:
        """(h, struts) use of every tube under a push of that size at each hub, from its worst directions."""
        own, slope = self._along()
        moments = own + push_n[:, None, None] * slope  # (hub, strut, place)
        return self._used(push_n, moments.max(axis=2))


def _largest_singular(moments: FloatArray) -> FloatArray:
    """(h, struts, places) largest length of d · M over unit vectors d, for M of (h, 3, struts, places, 2)."""
    first, second = moments[..., 0], moments[..., 1]
    a, b = np.square(first).sum(axis=1), np.square(second).sum(axis=1)
    mixed = (first * second).sum(axis=1)
    return np.asarray(np.sqrt((a + b) / 2 + np.hypot((a - b) / 2, mixed)))
