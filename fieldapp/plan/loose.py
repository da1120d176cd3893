"""Struts that hang on one hub: their weight."""

from collections.abc import Iterable

import numpy as np

from fieldapp.statics import loads
from fieldapp.statics.matrices import DOWN
from fieldapp.statics.stiffness import Stage


def loose_weight(stage: Stage, loose: Iterable[tuple[str, str]]) -> loads.Load:
    """Weight of each (strut, hub) that hangs on one hub, as force and moment there; tube only, arms are in the hub.

    Source: (P5). Test: tests/plan/test_stages.py
    """
    model = stage.model
    forces = np.zeros((1, *stage.fixed.shape))  # (case, hub, dof)
    for strut, hub in loose:
        number, at = model.strut_index[strut], model.hub_index[hub]
        length_mm = float(model.axes.length_mm[number])
        out = model.axes.local[number, 0] * (1.0 if model.ends[number, 0] == at else -1.0)
        weight_n = float(model.tube_weight_n_mm[number]) * (length_mm - 2 * model.reach_mm) * DOWN
        forces[0, at, :3] += weight_n
        forces[0, at, 3:] += np.cross(out * length_mm / 2, weight_n)
    return loads.on_hubs(stage, forces)
