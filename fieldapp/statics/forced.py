"""Arm forces of very many sets of errors of the struts of a stage, in one go: for frames that are drawn."""

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.loads import unit_misfits
from fieldapp.statics.stiffness import Factored, drawn_weights


def forced_arms(ready: Factored, errors: FloatArray) -> FloatArray:
    """What struts that are pulled in by force lock into a stage; as `loads.misfit` and `response` say, for less memory.

    Source: (S10). Test: tests/plan/test_tolerances.py

    Parameters
    ----------
    ready : Factored
    errors : (struts, 5, k) array
        k sets, in the order of `unit_misfits`. [mm, rad]

    Returns
    -------
    (struts, 12, k) array
        Arm forces. [N, N mm]

    Raises
    ------
    StaticsError
        If the solution fails its own check.
    """
    model, struts = ready.stage.model, ready.stage.struts
    gap = unit_misfits(ready.stage)
    moved = _ends_moved(ready, -(model.stiffness[struts] @ gap) @ errors)
    moved += gap @ errors
    return np.asarray(model.arm_per_displacement[struts] @ moved)


def _ends_moved(ready: Factored, ends_n: FloatArray) -> FloatArray:
    """(struts, 12, k) displacements at the hubs of every strut under forces at these, (struts, 12, k).

    Checked as other solutions are, all sets together, each with a weight drawn at random.

    Source: (S7). Test: tests/plan/test_tolerances.py
    """
    row, count = ready.row.ravel(), ends_n.shape[2]
    free = row >= 0
    loads = ready.scatter @ ends_n.reshape(-1, count)  # type: ignore[operator]
    right = np.empty((int(free.sum()), count))
    right[row[free]] = loads[free]
    moved = np.zeros_like(loads)
    moved[free] = ready.band.solution(right)[row[free]]
    size = np.abs(loads).max(axis=0, initial=0.0)
    weights = drawn_weights(count) / np.where(size > 0, size, 1.0)
    # (1, hub, dof)
    together = (np.asarray(each @ weights).reshape(1, *ready.row.shape) for each in (moved, loads))
    ready.check(*together)
    return np.asarray(moved.reshape(-1, 6, count)[ready.stage.ends].reshape(ends_n.shape))  # (strut, dof, set)
