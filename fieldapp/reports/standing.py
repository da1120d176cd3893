"""What really stands now, judged: what to hold, what the arms bear, how hard to push, what wind it stands.

Asked by every phone after every entry, so an answer is kept for as long as what is fitted, and how it
is weakened, stays the same. Words for it are in `words_standing`: two phones may read it in two languages.
"""

import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from fieldapp.base.units import newton_from_kg
from fieldapp.frame.design import Design
from fieldapp.kit.kit import Kit
from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.motions import smallest_holds
from fieldapp.plan.onsite import Resting, fitted_on, resting_now, weaker
from fieldapp.plan.reach import reach
from fieldapp.plan.stages import Fitted, StageAnalysis, analysis
from fieldapp.reports.weakened import weakened
from fieldapp.statics.limits import LevelTolerance
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Unstable
from fieldapp.statics.wind import WindLimit

Verdict = Literal["nothing stands", "stands", "hold", "clear"]

BREAKS_AT = 1.0
"""Arm use under 1.35 × weight above which an arm is computed to break."""


@dataclass(frozen=True, slots=True)
class Hold:
    """A hub that somebody or a prop must hold now."""

    hub: str
    height_mm: float
    """Above the ground, now [mm]."""
    stand_on: str
    reachable: bool
    force_n: float | None
    """What the hands bear under the weight as it is [N]; None where the arms alone still keep it and it is only
    steadied."""


@dataclass(frozen=True, slots=True)
class HubUse:
    """The most used arm of a hub under the weight as it is."""

    hub: str
    arm: int
    strut: str
    use: float


@dataclass(frozen=True, slots=True)
class PushLimit:
    """How hard a hub may be pushed, whatever the direction."""

    hub: str
    limit_n: float


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """A strut that one arm holds alone."""

    strut: str
    hub: str
    """The hub that holds it."""
    limit_n: float
    """Largest push at its free end, whatever the direction [N]."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One moment of the frame. Without words: see `words_standing`."""

    hubs: tuple[str, ...] = ()
    """Hub places filled now."""
    struts: tuple[str, ...] = ()
    """Strut places filled now."""
    in_hand: tuple[str, ...] = ()
    """Hubs that no strut ties to anything, struts that no hub holds: they are not counted as standing."""
    stands_on: tuple[str, ...] = ()
    carried_at: tuple[str, ...] = ()
    stands: bool = True
    """On what it rests alone, arms bending where geometry does not hold."""
    stands_held: bool = True
    """The same with the holds held."""
    falls: tuple[str, ...] = ()
    """Hubs that would move without any resistance if nobody held anything."""
    holds: tuple[Hold, ...] = ()
    arms: tuple[HubUse, ...] = ()
    """The most used arm of each hub, in the order of the frame."""
    design_use: float = 0.0
    """Largest arm use under 1.35 × weight, with the holds held if it does not stand alone."""
    tube: tuple[str, float] = ("", 0.0)
    """The most used strut and the use of its tube."""
    pushes: tuple[PushLimit, ...] = ()
    """Of the hubs placed last, one for each team."""
    loose_ends: tuple[LooseEnd, ...] = ()
    wind: WindLimit | None = None
    """None while it is carried, does not stand, or has no strut."""
    level: LevelTolerance = field(default_factory=lambda: LevelTolerance(np.inf, ""))
    """How far one hub on the ground may sit low, or one carrier lag behind."""
    lean_n: float = np.inf
    """With what force somebody might push by mistake, as the design says [N]."""
    weak_arms: tuple[tuple[str, int, float], ...] = ()
    """(hub place, arm of the place, share of a sound one)."""
    weak_struts: tuple[tuple[str, float], ...] = ()

    @property
    def weakest(self) -> HubUse | None:
        """The most used arm of all; None if no strut ties two hubs."""
        return max(self.arms, key=lambda one: one.use, default=None)

    @property
    def held_hubs(self) -> tuple[str, ...]:
        """Names of the hubs to hold."""
        return tuple(hold.hub for hold in self.holds)

    @property
    def verdict(self) -> Verdict:
        """The answer in one word."""
        if not self.hubs and not self.struts:
            return "nothing stands"
        if not self.stands_held or self.design_use > BREAKS_AT:
            return "clear"
        return "hold" if self.holds else "stands"


def standing(site: Site, state: State, *, held: Iterable[str] = (), near: Iterable[str] = ()) -> Standing:
    """The stage analysis of what is really fitted, in or out of order.

    Parameters
    ----------
    site : Site
        Kit, and the plan whose way says what a carried piece rests on.
    state : State
        What is fitted, damaged, mended.
    held : iterable of str, optional
        Hub places that are held or propped besides.
    near : iterable of str, optional
        Hub places taken for new holds where they serve as well as others.

    Returns
    -------
    Standing
        For any state. Equal questions are answered once.

    Raises
    ------
    StaticsError
        If sizes, materials or break tests of the design give no answer at all.
    """
    question = _question(site, state, tuple(held), tuple(near))
    with _ONE_AT_A_TIME:
        return _answer(question)


_ONE_AT_A_TIME = threading.Lock()
"""Twenty phones ask at once after an entry: one computes, the others wait for its answer."""


@dataclass(frozen=True, slots=True)
class _Question:
    """All that an answer depends on."""

    design: Design
    fitted: Fitted
    resting: Resting
    near: tuple[str, ...]
    arms: tuple[tuple[str, int, float], ...]
    struts: tuple[tuple[str, float, tuple[int, ...]], ...]
    kit: Kit = field(compare=False)


def _question(site: Site, state: State, held: tuple[str, ...], near: tuple[str, ...]) -> _Question:
    frame = site.kit.frame
    hubs = tuple(hub.name for hub in frame.hubs if hub.name in state.fitted)
    struts = tuple(strut.name for strut in frame.struts if strut.name in state.fitted)
    resting = resting_now(frame, site.plan, hubs, struts)
    weak = weakened(state)
    return _Question(
        design=site.kit.design, kit=site.kit, resting=resting, near=near,
        fitted=fitted_on(resting, hubs, struts, last=last_placed(state, hubs, site.kit.design.crew.teams),
                         held=[hub for hub in held if hub in state.fitted]),
        arms=tuple((hub, arm, share) for (hub, arm), share in sorted(weak.arms.items())),
        struts=tuple((strut, share, weak.ends_gone.get(strut, ())) for strut, share in sorted(weak.struts.items())))


def last_placed(state: State, hubs: Sequence[str], count: int) -> tuple[str, ...]:
    """The hubs placed last, newest last: there somebody may still lean and push."""
    def when(hub: str) -> tuple[int, str]:
        entry = state.index.get(state.parts[state.fitted[hub]].fitted_by or "")
        return entry.position if entry else (0, "")

    return tuple(sorted(hubs, key=when)[-count:])


@lru_cache(maxsize=64)
def _answer(question: _Question) -> Standing:
    case = _weakened_case(question)
    whole = analysis(case, question.fitted)
    alone, in_hand = _without_what_is_in_hand(whole)
    picked_up = tuple(_picked_up(question, whole, hub) for hub in in_hand if hub in case.frame.hub_index)
    all_in = Standing(question.fitted.hubs, question.fitted.struts, in_hand, holds=picked_up,
                      lean_n=question.design.crew.push_n, weak_arms=question.arms,
                      weak_struts=tuple((strut, share) for strut, share, _ in question.struts))
    return _judged(question, alone, all_in) if alone.fitted.hubs else all_in


def _judged(question: _Question, alone: StageAnalysis, all_in: Standing) -> Standing:
    """What is not in hand, on what it rests; with its holds held if it does not stand alone."""
    fitted, resting = alone.fitted, question.resting
    holds = _holds(alone, tuple(hub for hub in resting.holds if hub in fitted.hubs), question.near)
    stage = alone if alone.stands else analysis(alone.case, _with_held(fitted, holds))
    told = _told(question, stage, (*fitted.held, *holds))
    return replace(
        all_in, stands_on=fitted.stands_on, carried_at=fitted.carried_at,
        stands=alone.stands, stands_held=isinstance(stage.alone, Solved), falls=alone.falls,
        holds=(*told, *all_in.holds), arms=hub_uses(stage), design_use=float(stage.design_use), tube=stage.tube,
        pushes=tuple(PushLimit(hub, limit_n) for hub, limit_n in stage.push_limits_n(fitted.last).items()),
        loose_ends=tuple(LooseEnd(strut, hub, stage.free_end_limits_n[strut]) for strut, hub in stage.loose),
        wind=stage.wind if alone.stands else None, level=stage.level)


def _without_what_is_in_hand(whole: StageAnalysis) -> tuple[StageAnalysis, tuple[str, ...]]:
    """The stage of what is tied or supported, and the places that are neither."""
    frame, fitted = whole.case.frame, whole.fitted
    kept = {*fitted.stands_on, *fitted.carried_at, *fitted.held}
    for strut in whole.tied:
        kept |= {frame.strut(strut).end_1.hub, frame.strut(strut).end_2.hub}
    loose_hubs = tuple(hub for hub in fitted.hubs if hub not in kept)
    rest = analysis(whole.case, replace(
        fitted, hubs=tuple(hub for hub in fitted.hubs if hub in kept),
        last=tuple(hub for hub in fitted.last if hub in kept))) if loose_hubs else whole
    carried = {*rest.tied, *(strut for strut, _ in rest.loose)}
    return rest, (*loose_hubs, *(strut for strut in fitted.struts if strut not in carried))


def _picked_up(question: _Question, whole: StageAnalysis, hub: str) -> Hold:
    """A hub in somebody's hands, with the struts that hang on it."""
    parts = question.kit.by_place
    mass_kg = parts[hub].mass_kg + sum(parts[strut].mass_kg for strut, on in whole.loose if on == hub)
    return _hold(question, hub, newton_from_kg(mass_kg))


def _with_held(fitted: Fitted, holds: tuple[str, ...]) -> Fitted:
    return replace(fitted, held=tuple(dict.fromkeys((*fitted.held, *holds))))


def _holds(stage: StageAnalysis, planned: tuple[str, ...], near: tuple[str, ...]) -> tuple[str, ...]:
    """The plan's holds where they do and no fewer would; else the fewest, of those held or near already if possible."""
    found = smallest_holds(stage.motions, prefer=(*planned, *(near or stage.fitted.last)))
    enough = len(planned) <= len(found) and not stage.motions.without(planned).count
    return tuple(sorted(planned)) if enough else found


def _told(question: _Question, stage: StageAnalysis, holds: Iterable[str]) -> tuple[Hold, ...]:
    """Each hold with what the hands bear."""
    forces = _hold_forces_n(stage)
    return tuple(_hold(question, hub, forces.get(hub)) for hub in dict.fromkeys(holds))


def _hold(question: _Question, hub: str, force_n: float | None) -> Hold:
    """A hold with its height now and what to stand on."""
    height_mm = max(0.0, float(question.kit.frame.position_mm(hub)[2]) - question.resting.lowered_mm)
    up = reach(height_mm, question.design.crew)
    return Hold(hub, height_mm, up.stand_on, up.reachable, force_n)


def _hold_forces_n(stage: StageAnalysis) -> dict[str, float]:
    """What the hands at each held hub bear under the weight as it is [N]; empty if nothing is held in this stage."""
    answer = stage.solved
    if isinstance(answer, Unstable) or not stage.fitted.held:
        return {}
    forces = answer.ready.reactions(answer.weight.moved, answer.weight.load.hubs_n)[0]
    index = stage.case.model.hub_index
    return {hub: float(np.linalg.norm(forces[index[hub], :3])) for hub in stage.fitted.held}


def hub_uses(stage: StageAnalysis) -> tuple[HubUse, ...]:
    """The most used arm of each hub of a stage under its weight as it is, in the order of the frame."""
    answer = stage.solved
    if isinstance(answer, Unstable) or not len(answer.stage.struts):
        return ()
    use = answer.weight.arm_use[0].reshape(-1, 2, 2).max(axis=2)
    worst: dict[int, tuple[float, int, int]] = {}
    for row, strut in enumerate(answer.stage.struts.tolist()):
        for end in (0, 1):
            hub = int(answer.stage.model.ends[strut, end])
            if hub not in worst or use[row, end] > worst[hub][0] + 1e-9:
                worst[hub] = float(use[row, end]), strut, end + 1
    struts, hubs = stage.case.frame.struts, stage.case.frame.hubs
    return tuple(HubUse(hubs[hub].name, struts[strut].end(end).arm, struts[strut].name, most)
                 for hub, (most, strut, end) in sorted(worst.items()))


def _weakened_case(question: _Question) -> Case:
    """The kit's statics with what is left of its arms and tubes."""
    case = _sound_case(_Kept(question.design, question.kit))
    arms: dict[tuple[str, int], float] = {}
    for hub, number, share in question.arms:
        arm = case.frame.hub(hub).arms[number - 1]
        arms[arm.strut, arm.end] = share
    for strut, _, ends in question.struts:
        arms |= {(strut, end): 0.0 for end in (ends if len(ends) < 2 else (2,))}
    tubes = {strut: share for strut, share, _ in question.struts if share > 0.0}
    return weaker(case, arms, tubes) if arms or tubes else case


@dataclass(frozen=True, slots=True)
class _Kept:
    """Kits of equal designs have equal statics."""

    design: Design
    kit: Kit = field(compare=False)


@lru_cache(maxsize=4)
def _sound_case(kept: _Kept) -> Case:
    return case_of(kept.kit)
