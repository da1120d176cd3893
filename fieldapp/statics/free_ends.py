"""What the rest of a stage bears where somebody pushes the free end of a strut that hangs on one hub: a long lever."""

from collections.abc import Mapping, Sequence

import numpy as np

from fieldapp.statics import loads
from fieldapp.statics.governs import FREE_END, Limit
from fieldapp.statics.growth import by_every_theory
from fieldapp.statics.pushes import pushed_by
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Stage
from fieldapp.statics.tubes import TubeCapacity


def through_hub_limits(of: Solved, tubes: TubeCapacity, struts: Sequence[tuple[str, str]],
                       own: Mapping[str, Limit]) -> tuple[Limit, ...]:
    """Largest push at the free end of each strut, whatever its direction, that the stage it hangs on bears. [N]

    In second order, with the axial forces that the push itself causes.

    Source: (S12), (S23), (S29), (S30). Test: tests/statics/test_free_ends.py

    Parameters
    ----------
    of : Solved
        The stage under its weight and that of the struts that hang on it.
    tubes : TubeCapacity
        What the tubes can take.
    struts : sequence of (strut, hub)
        Strut places that are not in the stage, and the hub of the stage that holds each.
    own : mapping
        Strut place → what the strut itself and its arm bear: nothing above is looked at or told.

    Returns
    -------
    tuple of Limit
        The strut itself and the arm that holds it are not among what gives way: see `limits.free_end_limits`. None for
        a hub that has no strut in the stage.
    """
    held = carried_by(of.stage, struts)
    if not held:
        return ()
    most = np.array([own[strut].value for strut, _ in held])
    found = by_every_theory(of, lambda one, cap: pushed_by(one, end_pushes(one.stage, held), tubes,
                                                           most if cap is None else np.minimum(most, cap)))
    return tuple(Limit(FREE_END, float(value), strut, governs if value < own[strut].value else own[strut].governs)
                 for (strut, _), value, governs in zip(held, found.factor, found.governs, strict=True))


def carried_by(stage: Stage, struts: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Those (strut, hub) whose hub is on a strut of the stage."""
    carrying = set(stage.ends.ravel().tolist())
    return [(strut, hub) for strut, hub in struts if stage.model.hub_index[hub] in carrying]


def end_pushes(stage: Stage, held: Sequence[tuple[str, str]]) -> loads.Load:
    """3 k cases: force and moment on the hub for 1 N along x, y, z at the far end of each (strut, hub)'s tube."""
    model = stage.model
    forces = np.zeros((3 * len(held), *stage.fixed.shape))  # (strut and direction, hub, dof)
    for row, (strut, hub) in enumerate(held):
        number, at = model.strut_index[strut], model.hub_index[hub]
        out = model.axes.local[number, 0] * (1.0 if model.ends[number, 0] == at else -1.0)
        lever = out * (float(model.axes.length_mm[number]) - model.reach_mm)
        for axis, push in enumerate(np.eye(3)):
            forces[3 * row + axis, at, :3] = push
            forces[3 * row + axis, at, 3:] = np.cross(lever, push)
    return loads.on_hubs(stage, forces)
