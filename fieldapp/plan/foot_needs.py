"""What the feet of a stage ask of pegs: the one place where plans ask the statics of feet."""

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_G_HOLDING
from fieldapp.plan.footing import footing_of
from fieldapp.plan.pegging import FootNeed, Needs
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics.solved import Solved


def foot_needs(stage: StageAnalysis) -> Needs:
    """What must hold each foot under weight, if nothing else does.

    Source: (P16). Test: tests/plan/test_pegging.py
    """
    feet, answer = stage.feet, stage.solved
    if stage.fitted.carried_at or not isinstance(answer, Solved) or not stage.tied:
        return dict.fromkeys(feet, FootNeed())
    numbers = [stage.case.model.hub_index[foot] for foot in feet]
    weight = answer.ready.reactions(answer.weight.displacements, answer.weight.load.hubs_n)[0, numbers, :3]
    on = footing_of(stage.case.design.ground, feet)
    up, side = np.zeros(len(feet)), np.zeros(len(feet))
    for share in (GAMMA_G, GAMMA_G_HOLDING):
        up = np.maximum(up, -weight[:, 2] * share)
        grip = np.minimum(on.friction * np.maximum(weight[:, 2] * share, 0.0), on.most_sideways_n)
        side = np.maximum(side, np.hypot(weight[:, 0], weight[:, 1]) * share - grip)
    return {foot: FootNeed(float(u), float(s)) for foot, u, s in zip(feet, up, side, strict=True)}
