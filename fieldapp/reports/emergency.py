"""Emergency fits: which part of another class could be forced into a place, and what that locks into the arms."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.kit.forced import Forced, forced
from fieldapp.kit.kit import Part
from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.demand import settled_stage
from fieldapp.statics.limits import ArmUse, worst_arm
from fieldapp.statics.loads import Load, misfit
from fieldapp.statics.response import response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Stage, Unstable, factored

LOCKED_LIMIT = 0.5
"""Arm use locked in that must not be passed: half of what an arm can take is then left for weight, wind and
hands. Our choice."""

MOST_KEPT = 3
"""Candidates named for each place."""


@dataclass(frozen=True, slots=True)
class EmergencyFit:
    """One part forced into one place of the finished frame."""

    forced: Forced
    locked: ArmUse
    """The largest arm use locked in, and where."""
    design_use: float
    """Largest arm use of the finished frame under 1.35 × weight with what is locked in."""

    @property
    def allowed(self) -> bool:
        """False above a limit: it must not be done."""
        return self.locked.use <= LOCKED_LIMIT and self.design_use <= 1.0

    @property
    def words(self) -> str:
        """For a person."""
        off = f"{abs(self.forced.off_mm):.1f} mm"
        if self.forced.arms:
            off = f"its worst arm misses by {self.forced.off_deg:.1f}° ({off})"
        else:
            off += f" too {'long' if self.forced.off_mm > 0 else 'short'}"
        lock = f"it locks {self.locked.use:.0%} of its strength into an arm of {self.locked.hub}"
        spare = f"; leave its arm{'s' if len(self.forced.unused_arms) > 1 else ''} " \
                f"{', '.join(map(str, self.forced.unused_arms))} empty" if self.forced.unused_arms else ""
        verdict = "only if nothing else can be done" if self.allowed else "forbidden"
        return f"{verdict}: {self.forced.part} at {self.forced.place}, {off}, {lock}{spare}"


def emergency_fits(case: Case, plan: Plan, places: Iterable[str], *,
                   parts: Iterable[Part]) -> tuple[EmergencyFit, ...]:
    """What could be forced into `places` with `parts` of other classes.

    Parameters
    ----------
    case : Case
    plan : Plan
        Its finished frame is looked at; places that it leaves out are passed over.
    places : iterable of str
        Places without a part.
    parts : iterable of Part
        Usable parts that have no place; the first of each class stands for its class.

    Returns
    -------
    tuple of EmergencyFit
        By place, least locked in first, at most `MOST_KEPT` for each; forbidden ones too, so that nobody tries.

    Notes
    -----
    Linear: lack of fit of length or of each arm's direction, on supports that are level and give way
    sideways. Forces grow with the misfit; that arms bend plastically or wood creeps is not counted on.
    """
    stands_in: dict[tuple[str, str], Part] = {}
    for part in parts:
        stands_in.setdefault((part.kind, part.part_class), part)
    chosen = [fit for place in sorted(places) if place in plan.step_of for part in stands_in.values()
              if (fit := forced(case.kit, part, place)) is not None]
    found = _solved_fits(case, plan, chosen)
    by_place: dict[str, list[EmergencyFit]] = {}
    for one in sorted(found, key=lambda fit: (fit.forced.place, fit.locked.use, fit.forced.part)):
        by_place.setdefault(one.forced.place, []).append(one)
    return tuple(fit for fits in by_place.values() for fit in fits[:MOST_KEPT])


def _solved_fits(case: Case, plan: Plan, chosen: Sequence[Forced]) -> list[EmergencyFit]:
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    ready = factored(settled_stage(case, stage.fitted, stage.tied))
    if not chosen or isinstance(ready, Unstable) or not isinstance(stage.solved, Solved):
        return []
    locked = response(ready, forced_misfit(ready.stage, chosen))
    weight = stage.solved.design_parts
    return [EmergencyFit(fit, worst_arm(ready.stage, locked.arm_use[number].ravel()),
                         float(np.abs(weight + locked.parts[number]).sum(axis=1).max(initial=0.0)))
            for number, fit in enumerate(chosen)]


def forced_misfit(stage: Stage, chosen: Sequence[Forced]) -> Load:
    """One load case for each forced part: the lengths or the arm directions that do not fit."""
    model = stage.model
    row = {int(strut): number for number, strut in enumerate(stage.struts)}
    length = np.zeros((len(chosen), len(stage.struts)))
    out, within = np.zeros((2, len(chosen), len(stage.struts), 2))
    for case, fit in enumerate(chosen):
        if fit.place in model.strut_index:
            length[case, row[model.strut_index[fit.place]]] = fit.off_mm
        for strut, end, turn in _turned_ends(stage, fit):
            out[case, row[strut], end], within[case, row[strut], end] = _bends(stage, (strut, end), turn)
    return misfit(stage, length, out, within)


def _turned_ends(stage: Stage, fit: Forced) -> Iterable[tuple[int, int, FloatArray]]:
    """(strut number, end 0 or 1, turn vector) of each arm of a forced hub that carries a strut of the stage."""
    if not fit.arms:
        return
    model, hub = stage.model, stage.model.hub_index[fit.place]
    turn = {arm.neighbour: np.array(arm.off_rad) for arm in fit.arms}
    for strut in stage.struts.tolist():
        for end in (0, 1):
            if model.ends[strut, end] == hub:
                yield strut, end, turn[model.hub_names[int(model.ends[strut, 1 - end])]]


def _bends(stage: Stage, spot: tuple[int, int], turn: FloatArray) -> tuple[float, float]:
    """A turn vector in frame axes, about the out-of-plane and in-plane bending axes of an arm."""
    axes, (strut, end) = stage.model.axes, spot
    y, z = float(axes.local[strut, 1] @ turn), float(axes.local[strut, 2] @ turn)
    twist = float(axes.twist_rad[strut]) if end else 0.0
    return y * np.cos(twist) + z * np.sin(twist), z * np.cos(twist) - y * np.sin(twist)
