"""One moment of the frame judged: what is in hand, what must be held, what all of it bears."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from fieldapp.base.remembered import remembered
from fieldapp.base.units import newton_from_kg
from fieldapp.plan.case import Case
from fieldapp.plan.limits import limits_now
from fieldapp.plan.motions import smallest_holds
from fieldapp.plan.onsite import Resting
from fieldapp.plan.reach import reach
from fieldapp.plan.stages import Fitted, StageAnalysis, analysis
from fieldapp.reports.parts.own_numbers import OwnNumbers
from fieldapp.reports.standing.records import Hold, HubUtilisation, LooseEnd, Standing, breaks_at
from fieldapp.statics.governs import Limit
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Unstable
from fieldapp.statics.untested import is_untested


@dataclass(frozen=True, slots=True)
class Judging:
    """What a moment is judged by."""

    fitted: Fitted
    resting: Resting
    near: tuple[str, ...]
    """Hubs taken for new holds where they serve as well as others."""
    own: OwnNumbers


class LimitsOf(Protocol):
    """What a stage bears besides its weight."""

    def __call__(self, stage: StageAnalysis, *, alone: bool) -> tuple[Limit, ...]:
        """Of a stage, alone or with its holds held."""


def judged(case: Case, by: Judging, limits: LimitsOf = limits_now) -> Standing:
    """The stage analysis of one moment.

    Parameters
    ----------
    case : Case
        With what is left of arms and tubes.
    by : Judging
    limits : callable, optional
        What else is told of it besides whether it stands and what it bears.
    """
    whole, alone, in_hand = _taken_apart(case, by.fitted)
    picked_up = tuple(_picked_up(by, whole, hub) for hub in in_hand if hub in case.frame.hub_index)
    all_in = Standing(by.fitted.hubs, by.fitted.struts, in_hand, holds=picked_up,
                      lean_n=case.design.crew.push_n, tested=not is_untested(case.design))
    return _stage(by, alone, all_in, limits) if alone.fitted.hubs else all_in


def borne(case: Case, by: Judging) -> Standing:
    """The same without any limit but that on its weight: whether it stands, what must be held, what gives way first."""
    return judged(case, by, lambda stage, *, alone: ())


def gives_way(case: Case, by: Judging) -> bool:
    """True if the same must be cleared: it stands not even with its holds held, or its weight alone is too much.

    Holds are looked for only where it does not stand without, so that this costs a part of `borne`, and says the same.
    """
    _whole, alone, _in_hand = _taken_apart(case, by.fitted)
    if not alone.fitted.hubs:
        return False
    stage = alone if alone.stands else analysis(case, _with_held(alone.fitted, _holds_of(by, alone)))
    return not isinstance(stage.alone, Solved) or breaks_at(stage.verdict)


def _holds_of(by: Judging, alone: StageAnalysis) -> tuple[str, ...]:
    """What must be held for it to stand, or steadied where arms alone keep it."""
    return _holds(alone, tuple(hub for hub in by.resting.holds if hub in alone.fitted.hubs), by.near)


def _stage(by: Judging, alone: StageAnalysis, all_in: Standing, limits: LimitsOf) -> Standing:
    """What is not in hand, on what it rests; with its holds held if it does not stand alone."""
    fitted, holds = alone.fitted, _holds_of(by, alone)
    stage = alone if alone.stands else analysis(alone.case, _with_held(fitted, holds))
    told = _told(by, stage, (*fitted.held, *holds))
    return replace(
        all_in, stands_on=fitted.stands_on, carried_at=fitted.carried_at,
        stands=alone.stands, stands_held=isinstance(stage.alone, Solved), falls=alone.falls,
        holds=(*told, *all_in.holds), arms=hub_utilisations(stage),
        design_utilisation=stage.design_utilisation, bears=stage.verdict,
        locked_utilisation=stage.locked.arm_use if stage.locked else 0.0,
        loose_ends=tuple(LooseEnd(strut, hub) for strut, hub in stage.loose),
        limits=limits(stage, alone=alone.stands and not fitted.held))     # hands stand no wind


@remembered(4, by=lambda case, fitted: (case, fitted))
def _taken_apart(case: Case, fitted: Fitted) -> tuple[StageAnalysis, StageAnalysis, tuple[str, ...]]:
    """All of it, the stage of what is tied or supported, and the places that are neither.

    Kept: what one question found out serves the next one about the same moment.
    """
    whole, frame = analysis(case, fitted), case.frame
    kept = {*fitted.stands_on, *fitted.carried_at, *fitted.held}
    for strut in whole.tied:
        kept |= {frame.strut(strut).end_1.hub, frame.strut(strut).end_2.hub}
    loose_hubs = tuple(hub for hub in fitted.hubs if hub not in kept)
    rest = analysis(whole.case, replace(
        fitted, hubs=tuple(hub for hub in fitted.hubs if hub in kept),
        last=tuple(hub for hub in fitted.last if hub in kept))) if loose_hubs else whole
    carried = {*rest.tied, *(strut for strut, _ in rest.loose)}
    return whole, rest, (*loose_hubs, *(strut for strut in fitted.struts if strut not in carried))


def _picked_up(by: Judging, whole: StageAnalysis, hub: str) -> Hold:
    """A hub in somebody's hands, with the struts that hang on it."""
    parts = whole.case.kit.by_place
    mass_kg = parts[hub].mass_kg + sum(parts[strut].mass_kg for strut, on in whole.loose if on == hub)
    return _hold(whole.case, by, hub, force_n=newton_from_kg(mass_kg))


def _with_held(fitted: Fitted, holds: tuple[str, ...]) -> Fitted:
    return replace(fitted, held=tuple(dict.fromkeys((*fitted.held, *holds))))


def _holds(stage: StageAnalysis, planned: tuple[str, ...], near: tuple[str, ...]) -> tuple[str, ...]:
    """The plan's holds where they do and no fewer would; else the fewest, of those held or near already if possible."""
    found = smallest_holds(stage.motions, prefer=(*planned, *(near or stage.fitted.last)))
    enough = len(planned) <= len(found) and not stage.motions.without(planned).count
    return tuple(sorted(planned)) if enough else found


def _told(by: Judging, stage: StageAnalysis, holds: Iterable[str]) -> tuple[Hold, ...]:
    """Each hold with what the hands bear."""
    forces = _hold_forces_n(stage)
    return tuple(_hold(stage.case, by, hub, force_n=forces.get(hub)) for hub in dict.fromkeys(holds))


def _hold(case: Case, by: Judging, hub: str, *, force_n: float | None) -> Hold:
    """A hold with its height now and what to stand on."""
    lowered_mm = by.resting.lowered_mm if hub in by.resting.low else 0.0
    height_mm = max(0.0, float(case.frame.position_mm(hub)[2]) - lowered_mm)
    up = reach(height_mm, case.design.crew)
    return Hold(hub, height_mm, up.stand_on, up.reachable, force_n)


def _hold_forces_n(stage: StageAnalysis) -> dict[str, float]:
    """What the hands at each held hub bear under the weight as it is [N]; empty if nothing is held in this stage."""
    answer = stage.solved
    if isinstance(answer, Unstable) or not stage.fitted.held:
        return {}
    forces = answer.ready.reactions(answer.weight.displacements, answer.weight.load.hubs_n)[0]
    index = stage.case.model.hub_index
    return {hub: float(np.linalg.norm(forces[index[hub], :3])) for hub in stage.fitted.held}


def hub_utilisations(stage: StageAnalysis) -> tuple[HubUtilisation, ...]:
    """The most used arm of each hub of a stage under its weight as it is, in the order of the frame."""
    answer = stage.solved
    if isinstance(answer, Unstable) or not len(answer.stage.struts):
        return ()
    # (strut, end, root or joint), then (strut, end)
    use = answer.weight.arm_utilisation[0].reshape(-1, 2, 2).max(axis=2) / stage.case.model.arm_lasting
    worst: dict[int, tuple[float, int, int]] = {}
    for row, strut in enumerate(answer.stage.struts.tolist()):
        for end in (0, 1):
            hub = int(answer.stage.model.ends[strut, end])
            if hub not in worst or use[row, end] > worst[hub][0] + 1e-9:
                worst[hub] = float(use[row, end]), strut, end + 1
    struts, hubs = stage.case.frame.struts, stage.case.frame.hubs
    return tuple(HubUtilisation(hubs[hub].name, struts[strut].end(end).arm, struts[strut].name, most)
                 for hub, (most, strut, end) in sorted(worst.items()))
