"""What tolerances lock into a stage, arm by arm and tube by tube, in one frame of twenty.

Nobody knows it before parts are measured. It is drawn (`drawn`) for each stage by itself, from its own closed loops: an
open chain, or a strut that hangs free, takes nothing of it. Stages of large frames count as the lowest levels as they
are once whole, or as the whole frame: the smallest of these that holds all their struts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.drawn import drawn_errors, tolerances
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.locked import settled
from fieldapp.plan.misfits import together
from fieldapp.plan.supports import kept_still, supported_stage
from fieldapp.statics.forced import forced_arms
from fieldapp.statics.response import STATIONS
from fieldapp.statics.stiffness import Factored, Unstable, factored
from fieldapp.statics.tubes import use_of

DRAWS, RANK = 100, 99
"""Frames drawn for each way of erring, and which of them is told, counted from the least [1].
Source: (P8): with 96 % confidence not below the 95 % point. Test: tests/plan/test_tolerances.py"""
LARGE_STRUTS = 250
"""A frame of more struts is drawn level by level and not stage by stage (in no formula)."""
LOW_LEVELS = 2
"""So many levels from the ground are drawn by themselves in large frames [1]. Source: our choice: above them hardly
more is locked in (P26). Test: tests/plan/test_tolerances.py"""
OPEN_EDGE = 1.15
"""How much more the worst arm at an open edge has locked in than that of the whole levels that hold it [1].
Source: our choice: 1.10 times at most, any arm at any stage of the demo. Test: tests/plan/test_tolerances.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Tolerated:
    """What tolerances lock in; one frame of twenty has more."""

    arms: FloatArray
    """(m, 2) of the arm at each end of each strut of the frame, of what it bears for as long as the frame stands."""
    tubes_n: FloatArray
    """(m,) axial force in each tube [N]."""
    tubes_nmm: FloatArray
    """(m,) bending moment in each tube [N mm]."""
    arm_use: float = 0.0
    """Of the worst arm of the frame, of what it bears for as long as the frame stands."""
    tube_use: float = 0.0
    """The same of the worst tube."""
    pull_n: float = 0.0
    """The largest pull on a joint [N]."""

    @property
    def worst(self) -> float:
        """Of the worst arm or tube of the frame."""
        return max(self.arm_use, self.tube_use)


def nothing(struts: int) -> Tolerated:
    """Of a frame of so many struts."""
    return Tolerated(np.zeros((struts, 2)), np.zeros(struts), np.zeros(struts))


def tolerated(case: Case, fitted: Fitted, tied: Sequence[str]) -> Tolerated:
    """What tolerances lock into a stage; damage leaves it, for what has lost strength has lost stiffness too.

    Source: (P26). Test: tests/plan/test_tolerances.py
    """
    if len(tied) < 2 or not any(tolerances(case)):
        return nothing(len(case.frame.struts))
    sound = case_of(case.kit)
    if len(case.frame.struts) <= LARGE_STRUTS:
        return _of_stage(case.kit.design, sound, Fitted(
            fitted.hubs, (), fitted.stands_on, fitted.carried_at, fitted.held), tuple(tied))
    levels = case.frame.level_count
    level = levels if fitted.carried_at else max(map(case.frame.level_of, tied))
    return _up_to(case.kit.design, sound, level if level <= LOW_LEVELS else levels)


@remembered(128, by=lambda design, case, fitted, tied: (design, fitted, frozenset(tied)))
def _of_stage(_design: object, case: Case, fitted: Fitted, tied: tuple[str, ...]) -> Tolerated:
    ready = _standing(case, fitted, tied)
    return nothing(len(case.frame.struts)) if ready is None else _drawn(case, ready)


@remembered(12, by=lambda design, case, level: (design, level))
def _up_to(_design: object, case: Case, level: int) -> Tolerated:
    """Of all struts up to a level: every arm and tube as the worst of them."""
    ready = _whole_level(case, level)
    if ready is None:
        return nothing(len(case.frame.struts))
    found = _drawn(case, ready)
    arms, tubes_n, tubes_nmm = (np.full_like(each, OPEN_EDGE * each.max())
                                for each in (found.arms, found.tubes_n, found.tubes_nmm))
    return Tolerated(arms, tubes_n, tubes_nmm,
                     OPEN_EDGE * found.arm_use, OPEN_EDGE * found.tube_use, OPEN_EDGE * found.pull_n)


def _whole_level(case: Case, level: int) -> Factored | None:
    """The struts up to a level, on level feet that may give way sideways."""
    struts = [strut.name for strut in case.frame.struts if case.frame.level_of(strut.name) <= level]
    hubs = tuple(hub.name for hub in case.frame.hubs if hub.level <= level)
    feet = tuple(hub.name for hub in case.frame.hubs if hub.on_ground)
    return _standing(case, Fitted(hubs, (), feet), struts) if struts else None


def _standing(case: Case, fitted: Fitted, tied: Sequence[str]) -> Factored | None:
    """The stage as what is locked in is taken of (`settled`); what moves even then is kept still: no less is stored."""
    ready = settled(case, fitted, tied)
    still: dict[str, None] = dict.fromkeys((*fitted.stands_on, *fitted.carried_at, *fitted.held))
    while isinstance(ready, Unstable) and not set(ready.hubs) <= still.keys():
        still |= dict.fromkeys(ready.hubs)
        ready = factored(supported_stage(case.model, fitted.hubs, tied, kept_still(tuple(still))))
    return None if isinstance(ready, Unstable) else ready


def _drawn(case: Case, ready: Factored) -> Tolerated:
    """Every pair of a way in which lengths err and one of angles; the worst of them is told."""
    forces, tubes, struts = _forces(case, ready), case.tubes.under_weight, ready.stage.struts
    shares = case.model.arm_capacity[struts].reshape(-1, STATIONS, 3) * case.model.arm_lasting
    # (component, way, strut, station, draw)
    parts = forces / shares.transpose(2, 0, 1).astype(np.float32)[:, None, ..., None]
    found = nothing(len(case.frame.struts))
    arm_use = tube_use = pull_n = 0.0
    for one, other in product(range(2), range(2, len(forces[0]))):
        use = sum(np.abs(part[one] + part[other]) for part in parts)  # (strut, station, draw)
        uses = np.maximum(use[:, ::2], use[:, 1::2])  # (strut, end, draw)
        axial, out, within = (force[one, :, 1::2] + force[other, :, 1::2] for force in forces)  # (strut, joint, draw)
        # straight between its ends: the moment of a tube is largest at one of them
        push, pull, bent = (np.maximum(each[:, 0], each[:, 1]) for each in (-axial, axial, np.hypot(out, within)))
        for told, drawn in ((found.arms, uses), (found.tubes_n, np.maximum(push, pull)), (found.tubes_nmm, bent)):
            told[struts] = np.maximum(told[struts], _told(drawn))
        used = use_of(np.maximum(push, 0.0).T, np.maximum(pull, 0.0).T, bent.T, tubes, struts)
        arm_use, tube_use, pull_n = (max(before, float(_told(now))) for before, now in (
            (arm_use, uses.max(axis=(0, 1))), (tube_use, used.max(axis=1)), (pull_n, pull.max(axis=0))))
    return Tolerated(found.arms, found.tubes_n, found.tubes_nmm, arm_use, tube_use, pull_n)


def _told(drawn: FloatArray) -> FloatArray:
    """What one frame of twenty passes, of (…, draws)."""
    return np.asarray(np.partition(drawn, RANK - 1, axis=-1)[..., RANK - 1])


def _forces(case: Case, ready: Factored) -> FloatArray:
    """(3, 5, struts, 4, draws) axial force, moment out of plane and in plane: two ways in which lengths err, three of
    angles."""
    errors = _errors(case)[ready.stage.struts]  # (strut, error, way and draw)
    # (strut, station, component, way, draw)
    arms = forced_arms(ready, errors).reshape(len(errors), STATIONS, 3, -1, DRAWS)
    forces: FloatArray = np.empty((3, arms.shape[3], len(errors), STATIONS, DRAWS), dtype=np.float32)
    forces[...] = arms.transpose(2, 3, 0, 1, 4)  # (component, way, strut, station, draw)
    return forces


def _errors(case: Case) -> FloatArray:
    """(m, 5, 5 × draws) of every strut of the frame, in the order of `loads.unit_misfits`: way by way."""
    return _of_frame(case.kit.design, case)


@remembered(2, by=lambda design, case: design)
def _of_frame(_design: object, case: Case) -> FloatArray:
    (length_mm, angle_rad), (lengths, angles) = tolerances(case), together(case)
    draws: IntArray = np.arange(DRAWS)
    whole = np.arange(len(case.frame.struts))
    errors = [*(drawn_errors(whole, way, draws, of_length=length_mm) for way in lengths),
              *(drawn_errors(whole, way, draws, of_angle=angle_rad) for way in angles)]
    # (strut, error, way and draw)
    return np.ascontiguousarray(np.concatenate([one.columns for one in errors]).transpose(1, 2, 0))
