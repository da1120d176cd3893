"""What stands on site, in or out of order: what it rests on now, with what is left of its arms and tubes."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from fieldapp.frame.frame import Frame
from fieldapp.plan.plan import Plan, Step
from fieldapp.plan.stages import Fitted


@dataclass(frozen=True, slots=True)
class Resting:
    """What bears a frame that is being built."""

    stands_on: tuple[str, ...]
    carried_at: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    """Hubs that the plan has held since the last step that is whole."""
    lowered_mm: float = 0.0
    """How far below their final height the hubs of the piece are now [mm]."""
    low: tuple[str, ...] = ()
    """These hubs."""


def resting_now(frame: Frame, plan: Plan, *, hubs: Collection[str], struts: Collection[str]) -> Resting:
    """What the fitted places rest on, by the way of raising and the steps that are done.

    Parameters
    ----------
    frame : Frame
    plan : Plan
    hubs, struts : collections of str
        Places that are filled now, in any order.

    Returns
    -------
    Resting
        Supports only where a hub is in. Hubs on the ground that belong to no piece stand where they are.

    Notes
    -----
    A piece rests as after the last step before the first one that is open; steps done ahead of their
    turn count only if they leave the piece carried at the same hubs.
    """
    inside = frozenset(hubs)
    apart = {step.hub for step in plan.steps if step.piece and not step.joins}
    own = tuple(hub for hub in hubs if frame.hub(hub).on_ground and hub not in apart)
    step = last_step(plan, inside, frozenset(struts))
    if step is None:
        return Resting(own)
    whole = last_whole_step(plan, inside, frozenset(struts))
    holds = tuple(hub for hub in whole.holds if hub in inside) if whole else ()
    if not apart:
        return Resting(own, holds=holds)
    stands_on = dict.fromkeys((*own, *(hub for hub in step.stands_on if hub in inside)))
    lowered_mm = 0.0 if step.joins else float(frame.position_mm(step.hub)[2]) - step.height_mm
    low = tuple(hub for hub in hubs if hub in apart) if lowered_mm else ()
    return Resting(tuple(stands_on), tuple(hub for hub in step.carried_at if hub in inside), holds, lowered_mm, low)


def last_step(plan: Plan, hubs: Collection[str], struts: Collection[str]) -> Step | None:
    """The step that says what the frame rests on now; None if none is done. See `resting_now`."""
    done = steps_done(plan, hubs, struts)
    first_open = next((number for number, yes in enumerate(done) if not yes), len(done))
    if first_open == len(done):
        return plan.steps[-1] if plan.steps else None
    carried = plan.steps[first_open].carried_at
    counts = [step for number, (step, yes) in enumerate(zip(plan.steps, done, strict=True))
              if yes and (number < first_open or step.carried_at == carried)]
    return counts[-1] if counts else None


def last_whole_step(plan: Plan, hubs: Collection[str], struts: Collection[str]) -> Step | None:
    """The last step before the first open one, leaving out steps whose struts are not all in yet."""
    step = last_step(plan, hubs, struts)
    before = plan.steps[:step.number] if step else ()
    return next((one for one in reversed(before) if all(item.strut in struts for item in one.struts)), None)


def steps_done(plan: Plan, hubs: Collection[str], struts: Collection[str]) -> tuple[bool, ...]:
    """For each step whether it is done: its hub is in; where it only ties a piece on, its struts are."""
    found: list[bool] = []
    for step in plan.steps:
        if not step.joins:
            found.append(step.hub in hubs)
        elif step.struts:
            found.append(all(insertion.strut in struts for insertion in step.struts))
        else:
            found.append(bool(found) and found[-1])
    return tuple(found)


def fitted_on(resting: Resting, hubs: Sequence[str], struts: Sequence[str], *, last: Iterable[str] = (),
              held: Iterable[str] = (), pegged: Iterable[str] = ()) -> Fitted:
    """The stage for `stages.analysis`: what is in, on what it rests, which of its feet pegs or ballast keep."""
    kept = tuple(sorted(foot for foot in pegged if foot in resting.stands_on))
    return Fitted(tuple(hubs), tuple(struts), resting.stands_on, resting.carried_at, tuple(held), tuple(last), kept)
