"""Design use of a stage under given loads, second order, mean and design moduli: what a limit must keep below 1."""

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.statics import loads
from fieldapp.statics.second_order import settled
from fieldapp.statics.tubes import tube_utilisation


def design_uses(of, load, imposed=None, tubes=None):
    """(theories, k) largest design use of arms, or of tubes too, case by case; infinite where one gives way."""
    return np.array([_use(one, load, imposed, tubes) for one in (of, of.twin) if one is not None])


def _use(one, load, imposed, tubes):
    state = settled(one.ready, one.weight.load * GAMMA_G + load, imposed)
    use = state.answer.arm_utilisation.max(axis=(1, 2))
    if tubes is not None:
        use = np.maximum(use, tube_utilisation(state.answer, tubes).max(axis=1))
    return np.where(state.steady, use, np.inf)


def pushes(of, hub, directions, push_n):
    """Pushes of that size at a hub, design values, one case for each direction."""
    on = np.zeros((len(directions), *of.stage.fixed.shape))
    on[:, of.stage.model.hub_index[hub], :3] = push_n * GAMMA_Q * directions
    return loads.on_hubs(of.stage, on)


def sunk(of, hubs, down_mm):
    """Nothing on the hubs; and each of some hubs in turn so much lower than the others."""
    low = np.zeros((len(hubs), *of.stage.fixed.shape))
    low[np.arange(len(hubs)), [of.stage.model.hub_index[hub] for hub in hubs], 2] = -down_mm
    return loads.on_hubs(of.stage, 0 * low), low


def spread(count):
    """(count, 3) random unit vectors."""
    some = np.random.default_rng(7).normal(size=(count, 3))
    return some / np.linalg.norm(some, axis=1, keepdims=True)
