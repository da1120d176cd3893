"""Emergency fits: which part of another class could be forced into a place, and what that locks into the arms."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.said import Number, Row, Said, Share, Value, say, say_n
from fieldapp.frame.frame import FloatArray
from fieldapp.kit.forced import Forced, forced
from fieldapp.kit.kit import Part
from fieldapp.plan.case import Case
from fieldapp.plan.locked import settled
from fieldapp.plan.misfits import bends
from fieldapp.plan.plan import Plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.statics.limits import ArmUtilisation, worst_arm
from fieldapp.statics.loads import Load, misfit
from fieldapp.statics.response import response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Stage, Unstable

LOCKED_LIMIT = 0.5
"""Utilisation locked in that must not be passed: half of what an arm can take is left for weight, wind and hands [1].
Source: our choice. Test: tests/reference/test_pynite_forced.py"""

MOST_KEPT = 3
"""Candidates named for each place (in no formula)."""


@dataclass(frozen=True, slots=True)
class EmergencyFit:
    """One part forced into one place of the finished frame."""

    forced: Forced
    locked: ArmUtilisation
    """The largest arm utilisation locked in, and where."""
    design_utilisation: float
    """What the finished frame uses of what gives way first under 1.35 × weight, and what is locked in besides."""

    @property
    def allowed(self) -> bool:
        """False above a limit: it must not be done."""
        return self.locked.utilisation <= LOCKED_LIMIT and self.design_utilisation <= 1.0

    @property
    def said(self) -> Row:
        """For a person."""
        gaps: dict[str, Value] = {"part": self.forced.part, "place": self.forced.place, "off": self._off,
                "use": Share(self.locked.utilisation), "hub": self.locked.hub}
        told = [say("only if nothing else can be done: {part} at {place}, {off}, locks {use} of its strength into an "
                    "arm of {hub}", **gaps) if self.allowed else
                say("forbidden: {part} at {place}, {off}, locks {use} of its strength into an arm of {hub}", **gaps)]
        if self.locked.utilisation <= LOCKED_LIMIT and not self.allowed:
            told.append(say("with its weight that makes {use}", use=Share(self.design_utilisation)))
        unused = self.forced.unused_arms
        if unused:
            told.append(say_n("leave its arm {arms} empty", "leave its arms {arms} empty", len(unused),
                              arms=Row(unused)))
        return Row(tuple(told), "; ")

    @property
    def _off(self) -> Said:
        """How badly it fits."""
        fit, mm = self.forced, Number(abs(self.forced.off_mm), 1)
        if fit.arms:
            return say("its worst arm misses by {deg}° ({mm} mm at its end)", deg=Number(fit.off_deg, 1), mm=mm)
        return say("{mm} mm too long", mm=mm) if fit.off_mm > 0 else say("{mm} mm too short", mm=mm)


def emergency_fits(case: Case, plan: Plan, places: Iterable[str], *,
                   parts: Iterable[Part]) -> tuple[EmergencyFit, ...]:
    """What could be forced into `places` with `parts` of other classes.

    Source: (S10), (K3). Test: tests/reference/test_pynite_forced.py

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
    Linear: lack of fit of length or of each arm's direction, see `plan.lack_of_fit`. Forces grow with the misfit;
    that arms bend plastically or wood creeps is not counted on.
    """
    stands_in: dict[tuple[str, str], Part] = {}
    for part in parts:
        stands_in.setdefault((part.kind, part.part_class), part)
    chosen = [fit for place in sorted(places) if place in plan.step_of for part in stands_in.values()
              if (fit := forced(case.kit, part, place)) is not None]
    found = _solved_fits(case, plan, chosen)
    by_place: dict[str, list[EmergencyFit]] = {}
    for one in sorted(found, key=lambda fit: (fit.forced.place, fit.locked.utilisation, fit.forced.part)):
        by_place.setdefault(one.forced.place, []).append(one)
    return tuple(fit for fits in by_place.values() for fit in fits[:MOST_KEPT])


def _solved_fits(case: Case, plan: Plan, chosen: Sequence[Forced]) -> list[EmergencyFit]:
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    ready = settled(case, replace(stage.fitted, held=plan.steps[-1].holds), stage.tied)
    if not chosen or isinstance(ready, Unstable) or not isinstance(stage.solved, Solved):
        return []
    locked = response(ready, forced_misfit(ready.stage, chosen)) * (1.0 / case.model.arm_lasting)
    borne = stage.verdict.value
    arms = [worst_arm(ready.stage, uses.ravel()) for uses in locked.arm_utilisation]
    return [EmergencyFit(fit, arm, arm.utilisation + (1.0 / borne if borne > 0 else np.inf))
            for fit, arm in zip(chosen, arms, strict=True)]


def forced_misfit(stage: Stage, chosen: Sequence[Forced]) -> Load:
    """One load case for each forced part: the lengths or the arm directions that do not fit."""
    model = stage.model
    row = {int(strut): number for number, strut in enumerate(stage.struts)}
    length = np.zeros((len(chosen), len(stage.struts)))
    out, within = np.zeros((2, len(chosen), len(stage.struts), 2))  # (out of plane or in plane, case, strut, end)
    for case, fit in enumerate(chosen):
        if fit.place in model.strut_index:
            length[case, row[model.strut_index[fit.place]]] = fit.off_mm
        for strut, end, turn in _turned_ends(stage, fit):
            out[case, row[strut], end], within[case, row[strut], end] = bends(stage.model, (strut, end), turn)
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
