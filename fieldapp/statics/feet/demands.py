"""What every foot does to the ground, and what its peg must hold, under weight and under a wind."""

from dataclasses import replace

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_G_HOLDING
from fieldapp.frame.frame import FloatArray
from fieldapp.statics.feet.contact import ground_forces
from fieldapp.statics.feet.footing import Footing
from fieldapp.statics.feet.gusts import unit_gusts
from fieldapp.statics.feet.pegs_held import on_springs
from fieldapp.statics.feet.records import FootDemand, FootForces
from fieldapp.statics.feet.reduced import Feet
from fieldapp.statics.feet.starts import HELD, HISTORIES, LAID_ON, starts_of
from fieldapp.statics.wind import pressure_mpa


def feet_under_weight(feet: Feet) -> tuple[FootForces, ...]:
    """Forces of every foot under the weight as it is, the largest of all histories and springs; which lift, which slip.

    Source: (G3). Test: tests/statics/feet/test_demands.py
    """
    ways = [(1.0, ground, history, -1) for ground in feet.on.stiffnesses_n_mm for history in HISTORIES]
    starts = starts_of(feet, ways)
    ground, pegs = ground_forces(starts.springs, starts.states)
    pinned = -feet.weight_n.reshape(feet.count, 3)
    held, laid = (np.array([name == history for name in starts.history]) for history in (HELD, LAID_ON))
    high = (starts.states.moved_mm[:, :, 2] > 0).any(axis=0) | (pinned[:, 2] < 0)
    slid = (np.linalg.norm(starts.states.slid_mm[laid], axis=2) > 0).any(axis=0) & ~high
    press = np.maximum(ground[:, :, 2].max(axis=0), pinned[:, 2])
    pull = np.maximum(-pegs[:, :, 2].min(axis=0), -pinned[:, 2])
    side = np.concatenate((ground[held] + pegs[held], pinned[None]))  # (state, foot, axis)
    at = np.linalg.norm(side[:, :, :2], axis=2).argmax(axis=0)
    most = -side[at, np.arange(feet.count), :2]
    towards = np.degrees(np.arctan2(most[:, 0], most[:, 1])) % 360.0
    return tuple(
        FootForces(foot, max(float(press[i]), 0.0), max(float(pull[i]), 0.0), float(np.linalg.norm(most[i])),
                   float(towards[i]), lifts=bool(high[i]), slips=bool(slid[i]))
        for i, foot in enumerate(feet.on.feet))


def feet_table(feet: Feet, stage: str, gust_m_s: float | None = None) -> tuple[FootDemand, ...]:
    """What each foot of a stage does under weight, and what a peg there must hold under weight or in a gust.

    Source: (G9). Test: tests/statics/feet/test_demands.py

    Parameters
    ----------
    feet : Feet
        The stage and its footing; what holds the feet now does not matter, every foot is taken to be pegged.
    stage : str
        Its name, for the table.
    gust_m_s : float, optional
        Wind that pegs are to hold; None: the weight alone.
    """
    weight = feet_under_weight(replace(feet, on=feet.on.loose))
    up, side, from_deg = _asked_of_pegs(feet, gust_m_s)
    return tuple(
        FootDemand(stage, one.foot, one.press_n, one.pull_n, one.sideways_n, "weight" if gust_m_s is None else "wind",
                   None if gust_m_s is None else float(from_deg[i]), one.lifts, one.slips, float(up[i]), float(side[i]))
        for i, one in enumerate(weight))


def _asked_of_pegs(feet: Feet, gust_m_s: float | None) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(F,) design pull and sideways force on a peg at every foot, and where the wind that asks most comes from."""
    pegged = replace(feet, on=_all_pegged(feet.on))
    cases = np.zeros((1, 3 * feet.count))
    if gust_m_s is not None:
        cases = feet.pressing_n(unit_gusts(feet)) * pressure_mpa(gust_m_s)
    up, side = np.zeros((len(cases), feet.count)), np.zeros((len(cases), feet.count))
    for ground in feet.on.stiffnesses_n_mm:
        share = on_springs(pegged, ground).T
        for factor in (GAMMA_G, GAMMA_G_HOLDING):
            # (case, foot, axis)
            force = ((factor * feet.weight_n + cases) @ share).reshape(-1, feet.count, 3)
            up, side = np.maximum(up, force[:, :, 2]), np.maximum(side, np.linalg.norm(force[:, :, :2], axis=2))
    worst = np.hypot(up, side).argmax(axis=0)
    return up.max(axis=0), side.max(axis=0), worst * 360.0 / len(cases)


def _all_pegged(on: Footing) -> Footing:
    """The same feet, each with a peg."""
    return replace(on, peg_up_n=np.full(len(on.feet), np.inf), peg_side_n=np.full(len(on.feet), np.inf))
