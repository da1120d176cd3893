"""What a stage can bear: arm utilisation, pushes, a hub that sits low, a strut held at one end.

Uses are under loads as they are; limits are design values, weight counted 1.35 times and pushes 1.5
times (see `response`). At a limit the design use of some arm or tube is exactly 1.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics import loads
from fieldapp.statics.governing import arm_at, governing_arm, governing_tube
from fieldapp.statics.governs import ARM, FREE_END, HINGE, LAG, LOW_HUB, PUSH, TUBE, WIND, Governs, Limit
from fieldapp.statics.growth import by_every_theory
from fieldapp.statics.growth_search import LoadStep, least_grown
from fieldapp.statics.matrices import DOWN
from fieldapp.statics.model import Model
from fieldapp.statics.pushes import pushed
from fieldapp.statics.response import Response, largest_pushes, response, worst_push
from fieldapp.statics.solved import Solved, solved
from fieldapp.statics.stiffness import Stage
from fieldapp.statics.tube_limits import pushed_tube_use
from fieldapp.statics.tubes import TubeCapacity

__all__ = ["FREE_END", "LAG", "LOW_HUB", "PUSH", "WIND", "ArmUtilisation", "Governs", "Limit", "PushUtilisation",
           "Solved", "free_end_limits", "governing_arm", "governing_tube", "hanging_utilisations", "lag_limit",
           "push_limits", "push_utilisations", "solved", "weight_utilisation", "worst_arm"]


@dataclass(frozen=True, slots=True)
class ArmUtilisation:
    """The most used arm."""

    utilisation: float
    strut: str
    hub: str
    """The hub whose arm it is."""
    at_root: bool
    """At the hub centre, else where the arm enters the tube."""


@dataclass(frozen=True, slots=True)
class PushUtilisation:
    """Largest use of an arm or tube when one hub is pushed in its worst direction, on top of the weight."""

    hub: str
    utilisation: float
    direction: tuple[float, float, float]
    """Unit vector of the push that is worst for an arm."""


def weight_utilisation(of: Solved) -> ArmUtilisation:
    """The largest arm utilisation under own weight, alone and lasting, and where."""
    return max((worst_arm(of.stage, answer.arm_utilisation[0].ravel() / of.stage.model.arm_lasting)
                for answer in of.weights), key=lambda arm: arm.utilisation)


def worst_arm(stage: Stage, use: FloatArray) -> ArmUtilisation:
    """The largest of (struts × 4) arm utilisations, and where; 0 at no arm if there is no strut."""
    if not use.size:
        return ArmUtilisation(0.0, "", "", at_root=True)
    station = int(np.round(use, 9).argmax())
    strut, hub = arm_at(stage, station)
    return ArmUtilisation(float(use.max()), strut, hub, at_root=station % 2 == 0)


def push_utilisations(of: Solved, tubes: TubeCapacity, hubs: Iterable[str], push_n: float
                      ) -> tuple[PushUtilisation, ...]:
    """Largest use of an arm or tube under weight and a push at each of the hubs, each in its worst direction.

    Source: (S12), (S23). Test: tests/statics/test_limits.py
    """
    numbers, stage = _numbers(of.stage, hubs), of.stage
    unit = response(of.ready, loads.unit_pushes(stage, numbers))
    use, direction = worst_push(of.weight.components[0], _by_hub(unit, len(numbers)), push_n)
    tube = pushed_tube_use(of.weight, unit, tubes, np.full(len(numbers), push_n)).max(axis=1, initial=0.0)
    return tuple(PushUtilisation(stage.model.hub_names[int(i)], max(float(u), float(t)),
                                 (float(d[0]), float(d[1]), float(d[2])))
                 for i, u, t, d in zip(numbers, use, tube, direction, strict=True))


def push_limits(of: Solved, tubes: TubeCapacity, hubs: Iterable[str] | None = None) -> dict[str, Limit]:
    """Largest push at each hub, whatever its direction, that no arm and no tube minds, in second order. [N]

    Source: (S12), (S23), (S29), (S30). Test: tests/statics/test_limits.py, tests/statics/test_second_order.py

    Parameters
    ----------
    of : Solved
        The stage under its weight.
    tubes : TubeCapacity
        What the tubes can take.
    hubs : iterable of str, optional
        Hub places; None means every hub that is not held.

    Returns
    -------
    dict
        Hub place → limit; 0 if the weight alone passes 1, infinite at a held hub.
    """
    numbers = _free_hubs(of.stage) if hubs is None else _numbers(of.stage, hubs)
    found: list[Limit] = []
    for some in np.array_split(numbers, max(1, len(numbers) * len(of.stage.struts) // _CHUNK)):
        reached = by_every_theory(of, lambda one, cap, some=some: pushed(one, some, tubes, cap))  # type: ignore[misc]
        found += [Limit(PUSH, float(factor), of.stage.model.hub_names[int(number)], governs)
                  for number, factor, governs in zip(some, reached.factor, reached.governs, strict=True)]
    return {limit.at: limit for limit in found}


_CHUNK = 20_000
"""Hubs × struts at once (in no formula)."""


def lag_limit(of: Solved, numbers: IntArray, tubes: TubeCapacity, *, arms_left: float = 1.0) -> Limit:
    """How far one of some held hubs (by number) may sit or lag below the others; `at` is the most sensitive. [mm]

    Pinned hubs stay pinned: a hub that would hang free instead is less harmful than this says. A foot sits low for as
    long as the frame stands: `arms_left` is the share of the arms' resistance that is left for that.

    Source: (S14), (S27), (S30). Test: tests/statics/test_limits.py, tests/statics/test_second_order.py
    """
    if not len(numbers):
        return Limit(LOW_HUB, np.inf)
    low = np.zeros((len(numbers), *of.stage.fixed.shape))  # (case, hub, dof)
    low[np.arange(len(numbers)), numbers, 2] = -1.0
    ends = np.full(len(numbers), _FARTHEST_MM)
    step = LoadStep(loads.on_hubs(of.stage, np.zeros_like(low)), low, arms_left=arms_left)
    reached = by_every_theory(of, lambda one, cap: least_grown(one, step, tubes, most=ends if cap is None else cap))
    at = reached.lowest
    value = float(reached.factor[at])
    return Limit(LOW_HUB, value if value < _FARTHEST_MM else np.inf, of.stage.model.hub_names[int(numbers[at])],
                 reached.governs[at])


_FARTHEST_MM = 1e4
"""Settlements beyond this are not looked at: nothing depends on them [mm].
Source: our choice. Test: tests/statics/test_limits.py"""


def free_end_limits(model: Model, tubes: TubeCapacity, struts: Iterable[tuple[str, str]]) -> dict[str, Limit]:
    """Largest push at the free end of a strut that one arm holds alone, whatever its direction. [N]

    Source: (S15). Test: tests/statics/test_limits.py

    Parameters
    ----------
    model : Model
        The frame, with arm resistances.
    tubes : TubeCapacity
        What its tubes can take: one may bend at its joint before the arm does at its root.
    struts : iterable of (strut, hub)
        Strut places and the hub that holds each.

    Returns
    -------
    dict
        Strut place → limit. 0 if its weight alone is too much; 0 at a pin, which holds nothing.

    Notes
    -----
    Root moment = push × lever + weight × lever / 2 in the arm's own axes, with the axial force; the
    lever runs from the hub centre to the tube's far end. Any hub on the free end comes on top.
    """
    def limit(strut: str, hub: str) -> Limit:
        number = model.strut_index[strut]
        arm_n, tube_n = _free_end_limit_n(model, number, model.hub_index[hub]), _free_tube_limit_n(model, tubes, number)
        first = (HINGE if model.pinned else ARM) if arm_n <= tube_n else TUBE
        governs = Governs(first, strut, hub)
        return Limit(FREE_END, min(arm_n, tube_n), strut, governs)

    return {strut: limit(strut, hub) for strut, hub in struts}


def hanging_utilisations(model: Model, struts: Iterable[tuple[str, str]]) -> dict[str, float]:
    """Use of the one arm that holds a strut, under 1.35 × the strut's weight; infinite at a pin, which holds nothing.

    Parameters
    ----------
    model : Model
        The frame, with arm resistances.
    struts : iterable of (strut, hub)
        Strut places and the hub that holds each.
    """
    def use(strut: int, hub: int) -> float:
        return np.inf if model.pinned else float(np.abs(_hanging(model, strut, _end_at(model, strut, hub))).sum())

    return {strut: use(model.strut_index[strut], model.hub_index[hub]) for strut, hub in struts}


def _free_end_limit_n(model: Model, strut: int, hub: int) -> float:
    """The limit of one strut."""
    if model.pinned:
        return 0.0
    end, lever = _end_at(model, strut, hub), _lever_mm(model, strut)
    unit = GAMMA_Q * _root_rows(model, strut, end).T * np.array([1.0, lever, lever])
    # (hub, axis, station, component)
    bound, _ = largest_pushes(_hanging(model, strut, end)[None], unit[None, :, None])
    return float(bound[0])


def _free_tube_limit_n(model: Model, tubes: TubeCapacity, strut: int) -> float:
    """Push at a tube's far end that bends it at its joint as far as it bears, its weight taken to lie across."""
    free_mm = _lever_mm(model, strut) - model.reach_mm
    own_nmm = GAMMA_G * float(model.tube_weight_n_mm[strut]) * free_mm**2 / 2
    return max(0.0, (float(tubes.bending_nmm[strut]) - own_nmm) / (GAMMA_Q * free_mm)) if free_mm > 0 else np.inf


def _hanging(model: Model, strut: int, end: int) -> FloatArray:
    """(3,) arm forces ÷ resistance at the root, under 1.35 × the weight of arm and tube."""
    reach, lever = model.reach_mm, _lever_mm(model, strut)
    arm, tube = model.make_at(strut).arm_weight_n_mm * reach, float(model.tube_weight_n_mm[strut]) * (lever - reach)
    bent = arm * reach / 2 + tube * (lever + reach) / 2
    return np.asarray(GAMMA_G * (_root_rows(model, strut, end) @ DOWN) * np.array([arm + tube, bent, bent]))


def _end_at(model: Model, strut: int, hub: int) -> int:
    """0 or 1: the end of a strut that is at a hub."""
    return int(model.ends[strut, 1] == hub)


def _lever_mm(model: Model, strut: int) -> float:
    """From the hub's centre to the far end of the tube."""
    return float(model.axes.length_mm[strut]) - model.reach_mm


def _root_rows(model: Model, strut: int, end: int) -> FloatArray:
    """(3, 3) axial, out of plane and in plane directions of the arm at one end, in frame axes, ÷ its resistances."""
    x, y, z = model.axes.local[strut]
    turn = float(model.axes.twist_rad[strut]) if end else 0.0
    rows = np.stack((x, z * np.cos(turn) - y * np.sin(turn), y * np.cos(turn) + z * np.sin(turn)))  # (component, axis)
    return np.asarray(rows / model.arm_capacity[strut].reshape(4, 3)[2 * end][:, None])


def _numbers(stage: Stage, hubs: Iterable[str]) -> IntArray:
    """Hub numbers of names."""
    return np.array([stage.model.hub_index[name] for name in hubs], dtype=np.int64)


def _free_hubs(stage: Stage) -> IntArray:
    """Hubs of the stage that carry struts and are not held."""
    used = np.unique(stage.ends)
    return np.asarray(used[~stage.fixed[used, :3].all(axis=1)])


def _by_hub(unit: Response, hubs: int) -> FloatArray:
    """(h, 3, struts × 4, 3) arm forces ÷ resistance of unit pushes."""
    return unit.components.reshape(hubs, 3, 4 * len(unit.stage.struts), 3)  # (hub, axis, station, component)
