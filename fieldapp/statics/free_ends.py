"""What the rest of a stage bears where somebody pushes the free end of a strut that hangs on one hub: a long lever."""

from collections.abc import Sequence

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.statics import loads
from fieldapp.statics.governing import governing_arm, governing_tube
from fieldapp.statics.governs import FREE_END, Limit
from fieldapp.statics.response import largest_pushes, response
from fieldapp.statics.solved import Solved
from fieldapp.statics.tube_limits import pushed_tubes
from fieldapp.statics.tubes import TubeCapacity


def through_hub_limits(of: Solved, tubes: TubeCapacity, struts: Sequence[tuple[str, str]]) -> tuple[Limit, ...]:
    """Largest push at the free end of each strut, whatever its direction, that the stage it hangs on bears. [N]

    Source: (S12), (S23). Test: tests/statics/test_free_ends.py

    Parameters
    ----------
    of : Solved
        The stage under its weight and that of the struts that hang on it.
    tubes : TubeCapacity
        What the tubes can take.
    struts : sequence of (strut, hub)
        Strut places that are not in the stage, and the hub of the stage that holds each.

    Returns
    -------
    tuple of Limit
        The strut itself and the arm that holds it are not among what gives way: see `limits.free_end_limits`. None for
        a hub that has no strut in the stage.
    """
    carrying = set(of.stage.ends.ravel().tolist())
    held = [(strut, hub) for strut, hub in struts if of.stage.model.hub_index[hub] in carrying]
    if not held:
        return ()
    unit = response(of.ready, loads.on_hubs(of.stage, _pushed_ends(of, held)))
    # (strut, direction, station, component)
    components = unit.components.reshape(len(held), 3, 4 * len(of.stage.struts), 3)
    bound, station = largest_pushes(of.design_components, components * GAMMA_Q)
    least, tube = pushed_tubes(of.weight * GAMMA_G, unit * GAMMA_Q, tubes, bound)
    return tuple(Limit(FREE_END, float(value), strut, governing_tube(of.stage, int(folds)) or
                       governing_arm(of.stage, int(at)))
                 for (strut, _), value, at, folds in zip(held, least, station, tube, strict=True))


def _pushed_ends(of: Solved, held: Sequence[tuple[str, str]]) -> np.ndarray[tuple[int, int, int], np.dtype[np.float64]]:
    """(3 k, n, 6) force and moment on the hub for 1 N along x, y, z at the far end of each strut's tube."""
    model = of.stage.model
    forces = np.zeros((3 * len(held), *of.stage.fixed.shape))  # (strut and direction, hub, dof)
    for row, (strut, hub) in enumerate(held):
        number, at = model.strut_index[strut], model.hub_index[hub]
        out = model.axes.local[number, 0] * (1.0 if model.ends[number, 0] == at else -1.0)
        lever = out * (float(model.axes.length_mm[number]) - model.make.reach_mm)
        for axis, push in enumerate(np.eye(3)):
            forces[3 * row + axis, at, :3] = push
            forces[3 * row + axis, at, 3:] = np.cross(lever, push)
    return forces
