"""What does not fit: parts of one class are made alike though their places differ, and which errors go together.

Two kinds of error. *Known* ones follow from the design alone: all struts of a class are sawn to its mean length and
all hubs of a class to its one pattern, while places may differ by up to the class tolerance. *Drawn* ones are not
known before parts are measured: how long a strut came out, where an arm points. Such an error may belong to one part
alone, or to all parts that the same stop or jig made.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.base.units import rad_from_deg
from fieldapp.frame.frame import FloatArray, HubClass, HubPlace, IntArray
from fieldapp.kit.forced import arm_vectors, closest_seat, directions_from
from fieldapp.plan.case import Case
from fieldapp.statics.model import Model

LEAST_MM = 1e-3
"""A strut that differs less from its place fits exactly [mm].
Source: our choice, far above rounding, far below what a saw can tell. Test: tests/plan/test_fitup.py"""
LEAST_RAD = rad_from_deg(1e-4)
"""The same for the direction of an arm [rad]. Source: our choice, as LEAST_MM. Test: tests/plan/test_fitup.py"""

DIPS = np.array([1.0, -1.0])
"""A turn about an arm's out-of-plane bending axis lowers the arm at end 1 and raises it at end 2; about the other
axis it turns both the same way round their hubs [1]. Source: exact (S1), (P18). Test: tests/plan/test_fitup.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Errors:
    """k sets of errors of m struts."""

    length_mm: FloatArray
    """(k, m) too long [mm]."""
    out_rad: FloatArray
    """(k, m, 2) the arm at end 1 and end 2, about its out-of-plane bending axis [rad]."""
    within_rad: FloatArray
    """(k, m, 2) the same about its in-plane bending axis [rad]."""

    def at(self, struts: IntArray) -> "Errors":
        """Of some struts, by number."""
        return Errors(self.length_mm[:, struts], self.out_rad[:, struts], self.within_rad[:, struts])

    @property
    def any(self) -> bool:
        """Whether anything errs."""
        return bool(self.length_mm.any() or self.out_rad.any() or self.within_rad.any())

    @property
    def columns(self) -> FloatArray:
        """(k, m, 5) in the order of `lack_of_fit.ERRORS`."""
        # (set, strut, error)
        return np.concatenate((self.length_mm[:, :, None], self.out_rad, self.within_rad), axis=2)


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Which errors are one and the same: equal numbers err alike, seen from their hubs (see `DIPS`)."""

    length: IntArray
    """(m,)"""
    out: IntArray
    """(m, 2) at end 1 and end 2"""
    within: IntArray
    """(m, 2)"""


def known_errors(case: Case) -> Errors:
    """One set for all strut places of the frame: class length less the place's own, class pattern against its arms.

    Source: (P18). Test: tests/plan/test_fitup.py
    """
    return _known(case.kit.design, case)


@remembered(4, by=lambda design, case: design)
def _known(_design: object, case: Case) -> Errors:
    lengths = {kind.letter: kind.centre_length_mm for kind in case.frame.strut_classes}
    over = np.array([lengths[strut.strut_class] - strut.centre_length_mm for strut in case.frame.struts])
    out, within = np.zeros((2, len(over), 2))  # (out of plane or within it, strut, end)
    for strut, end, _, turn in _seated(case):
        out[strut, end], within[strut, end] = bends(case.model, (strut, end), turn)
    return Errors(_rounded(over, LEAST_MM)[None], _rounded(out, LEAST_RAD)[None], _rounded(within, LEAST_RAD)[None])


def _rounded(values: FloatArray, least: float) -> FloatArray:
    return np.where(np.abs(values) < least, 0.0, values)


def bends(model: Model, spot: tuple[int, int], turn: FloatArray) -> tuple[float, float]:
    """A turn vector in frame axes, about the out-of-plane and the in-plane bending axis of an arm.

    Source: (K3), (S10). Test: tests/reference/test_pynite_forced.py
    """
    axes, (strut, end) = model.axes, spot
    y, z = float(axes.local[strut, 1] @ turn), float(axes.local[strut, 2] @ turn)
    twist = float(axes.twist_rad[strut]) if end else 0.0
    return y * np.cos(twist) + z * np.sin(twist), z * np.cos(twist) - y * np.sin(twist)


_Seated = tuple[int, int, tuple[str, int], FloatArray]
"""(strut number, end 0 or 1, (hub class, arm of its pattern), turn vector from where it belongs) of an arm."""


def _seated(case: Case) -> tuple[_Seated, ...]:
    """Every arm."""
    return _all_seated(case.kit.design, case)


@remembered(4, by=lambda design, case: design)
def _all_seated(_design: object, case: Case) -> tuple[_Seated, ...]:
    return tuple(_arms_seated(case))


def _arms_seated(case: Case) -> Iterator[_Seated]:
    classes = {kind.name: kind for kind in case.frame.hub_classes}
    for hub in case.frame.hubs:
        slots, turns = _seat(case, hub, classes[hub.hub_class])
        for arm, slot, turn in zip(hub.arms, slots.tolist(), turns, strict=True):
            yield case.frame.strut_index[arm.strut], arm.end - 1, (hub.hub_class, slot), turn


def _seat(case: Case, hub: HubPlace, pattern: HubClass) -> tuple[IntArray, FloatArray]:
    """(k,) which arm of the class pattern lies at each arm of the place, and (k, 3) by how much it is turned there."""
    azimuths = np.cumsum((0.0, *pattern.gaps_deg[:-1]))
    made = directions_from(tuple(zip(azimuths.tolist(), pattern.dips_deg, strict=True)))
    return closest_seat(made, arm_vectors(case.kit, hub.name))


def together(case: Case) -> tuple[tuple[Together, ...], tuple[Together, ...]]:
    """What may err together in lengths, and in arms: nothing first, then all that one stop or one jig made.

    Returns
    -------
    lengths : tuple of Together
        Each strut by itself; all struts of a class (the stop of the saw).
    angles : tuple of Together
        Each arm by itself; the same arm of all hubs of a class (the slots of a jig); all arms of a class out of
        plane (a jig that dips too much), and slot by slot within it.

    Source: (P18). Test: tests/plan/test_fitup.py
    """
    struts = len(case.frame.struts)
    each, both = np.arange(struts), np.arange(2 * struts).reshape(struts, 2)
    saw = _numbered([strut.strut_class for strut in case.frame.struts])
    names = np.empty((struts, 2), dtype=object)
    for strut, end, slot, _ in _seated(case):
        names[strut, end] = slot
    slots = _numbered(list(names.ravel())).reshape(struts, 2)
    kinds = _numbered([name for name, _ in names.ravel()]).reshape(struts, 2)
    return ((Together(each, both, both), Together(saw, both, both)),
            (Together(each, both, both), Together(each, slots, slots), Together(each, kinds, slots)))


def _numbered(names: list[object]) -> IntArray:
    """Equal names get equal numbers, from 0, in the order of their first."""
    number = {name: at for at, name in enumerate(dict.fromkeys(names))}
    return np.array([number[name] for name in names], dtype=np.int64)
