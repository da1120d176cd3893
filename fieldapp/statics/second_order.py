"""Second order for a stage that was solved first order only; `solved.solved` does all this by itself."""

from dataclasses import replace

from fieldapp.base.constants import ALPHA_CR_FIRST_ORDER, GAMMA_G
from fieldapp.statics.buckling import buckling_factor, strut_tension_n
from fieldapp.statics.limits import ArmUse, Solved, solved, weight_use


def weight_buckling_factor(of: Solved) -> float:
    """Times 1.35 × weight until the stage buckles."""
    if of.second_order:
        return of.buckling_factor
    return buckling_factor(of.ready, strut_tension_n(of.weight)[0] * GAMMA_G)


def needs_second_order(factor: float) -> bool:
    """True if first-order results may not be used as they are."""
    return factor < ALPHA_CR_FIRST_ORDER


def second_order_use(of: Solved, factor: float) -> ArmUse:
    """The largest arm use under `factor` × weight, second order; infinite if the stage buckles."""
    answer = of if of.second_order else solved(of.stage, of.weight.load)
    if not isinstance(answer, Solved):
        return ArmUse(float("inf"), "", answer.hubs[0], at_root=True)
    first = weight_use(answer)
    return replace(first, use=first.use * factor)
