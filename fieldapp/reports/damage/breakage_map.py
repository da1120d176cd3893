"""Where in the frame parts broke, against where the statics say that arms are used most: a record to be drawn."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from fieldapp.base.said import Said, say
from fieldapp.frame.frame import Frame
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import PartKind
from fieldapp.log.entry import Entry
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.parts.history import Break, breaks, counting, raise_of
from fieldapp.reports.standing.demand import Demand

TOP_SHARE = 0.25
"""Breaks are counted against this part of the places, those with the highest use [1].
Source: our choice. Test: tests/reports/damage/test_breakage.py"""


@dataclass(frozen=True, slots=True)
class PlaceBreaks:
    """One place of the plan."""

    place: str
    kind: PartKind
    breaks: int
    arms: tuple[tuple[int, int], ...]
    """Hubs: (arm of the place, breaks there), arms with any."""
    utilisation: float
    """Hub: its most used arm over all stages, with hands, wind and uneven ground; strut: its tube or the arms in
    its ends, whichever is used more."""
    step: int
    """The step after which that use occurs; 0 for places that the plan leaves out."""


@dataclass(frozen=True, slots=True)
class StepBreaks:
    """One step of the plan."""

    step: int
    hub: str
    breaks: int
    """How many broke, anywhere, while this step was being built."""
    utilisation: float
    """Most used arm of the stage."""


@dataclass(frozen=True, slots=True)
class BreakRow:
    """One break in the frame: what a designer asks about it."""

    place: str
    arm: int | None
    """Of the place, if it was said."""
    entry: Entry
    """Who wrote it down, and what."""
    raise_name: str
    step: int
    """The step that was being built; 0 if none was, as at the strike."""
    utilisation: float
    """What the place asks of a sound part, of that arm if it was said."""
    harder: float
    """Share of the places of its kind that ask more."""


@dataclass(frozen=True, slots=True)
class BreakageMap:
    """All places, hubs first, and all steps, in the frame's and the plan's order."""

    places: tuple[PlaceBreaks, ...]
    steps: tuple[StepBreaks, ...]
    in_frame: int
    """Breaks at a place."""
    elsewhere: int
    """Breaks of parts that sat in no place: in stores, on the way, on the ground."""
    rows: tuple[BreakRow, ...]
    """Breaks in the frame, oldest first."""
    in_top: int
    """Breaks at the quarter of the places (of their own kind) where use is highest."""

    @property
    def said(self) -> Said:
        """What the picture says."""
        if not self.in_frame:
            return say("No part has broken in the frame so far.")
        verdict = say("the statics and the log agree") if 2 * self.in_top > self.in_frame else \
            say("look for another cause than weight, pushes and wind: knocks, a bad sheet, damp, a wrong order")
        if self.in_frame == 1:
            return say("{top} of 1 break in the frame lie in the quarter of places with the highest use: {verdict}.",
                       top=self.in_top, verdict=verdict)
        return say("{top} of {all} breaks in the frame lie in the quarter of places with the highest use: {verdict}.",
                   top=self.in_top, all=self.in_frame, verdict=verdict)

    @property
    def most(self) -> int:
        """The largest number of breaks at one place, for the scale of the picture."""
        return max((place.breaks for place in self.places), default=0)


def breakage_map(state: State, plan: Plan, asked: Demand) -> BreakageMap:
    """Breaks of all raises by place and by step.

    Parameters
    ----------
    state : State
    plan : Plan
        The way of raising against whose stages they are set.
    asked : Demand
        Of sound parts, `reports.standing.demand`.

    Returns
    -------
    BreakageMap
        Slight damage counts as well: it shows where arms are overworked. Lost labels do not.
    """
    found = breaks(state)
    at = Counter(broken.place for broken in found if broken.place is not None)
    arms = Counter(_arm_at_place(state, broken) for broken in found)
    places = tuple(_place(state.kit.frame, asked, place, count=at[place], arms=arms) for place in state.kit.by_place)
    during = _steps_of(state, plan, found)
    steps = Counter(during.values())
    return BreakageMap(places, tuple(StepBreaks(stage.step, stage.hub, steps[stage.step], stage.arm.utilisation)
                                     for stage in asked.stages),
                       sum(at.values()), len(found) - sum(at.values()),
                       tuple(_row(state, asked, broken, places, step=during.get(broken.entry.key, 0))
                             for broken in found if broken.place is not None), _in_top(places))


def _row(state: State, asked: Demand, broken: Break, places: tuple[PlaceBreaks, ...], *, step: int) -> BreakRow:
    here = next(place for place in places if place.place == broken.place)
    spot = _arm_at_place(state, broken)
    arm = spot[1] if spot is not None else None
    use = here.utilisation
    if arm is not None:
        on = state.kit.frame.hub(here.place).arms[arm - 1]
        use = float(asked.handled.arm[state.kit.frame.strut_index[on.strut], on.end - 1])
    own = [place.utilisation for place in places if place.kind == here.kind and place.utilisation > 0.0]
    return BreakRow(here.place, arm, broken.entry, broken.raise_name, step, use,
                    sum(other > here.utilisation for other in own) / max(1, len(own)))


def _place(frame: Frame, asked: Demand, place: str, *, count: int,
           arms: Mapping[tuple[str, int] | None, int]) -> PlaceBreaks:
    handled = asked.handled
    if place in frame.strut_index:
        row = frame.strut_index[place]
        uses = [(float(handled.tube[row]), int(handled.tube_step[row])),
                *zip(handled.arm[row].tolist(), handled.arm_step[row].tolist(), strict=True)]
        return PlaceBreaks(place, "strut", count, (), *max(uses))
    hub = frame.hub(place)
    uses = [(float(handled.arm[frame.strut_index[arm.strut], arm.end - 1]),
             int(handled.arm_step[frame.strut_index[arm.strut], arm.end - 1])) for arm in hub.arms]
    broken = tuple((arm.number, arms.get((place, arm.number), 0)) for arm in hub.arms if arms.get((place, arm.number)))
    return PlaceBreaks(place, "hub", count, broken, *max(uses))


def _arm_at_place(state: State, broken: Break) -> tuple[str, int] | None:
    """(place, arm of the place) of a broken arm; a hub from elsewhere is taken as turned the closest way."""
    arm, part = broken.entry.data.get("arm"), state.part(broken.part)
    if broken.place is None or not isinstance(arm, int) or part.kind != "hub":
        return None
    if part.made_for == broken.place:
        return broken.place, arm
    turns = hub_turns(state.kit, part, broken.place)
    return (broken.place, dict(turns[0].arms).get(arm, arm)) if turns else (broken.place, arm)


def _steps_of(state: State, plan: Plan, found: tuple[Break, ...]) -> dict[str, int]:
    """Key of each break → the step that was being built: that of the part fitted last before, in the same raise."""
    keys = {broken.entry.key for broken in found}
    steps: dict[str, int] = {}
    last: Entry | None = None
    for entry in counting(state):
        if entry.kind == "fitted" and entry.place in plan.step_of:
            last = entry
        elif entry.kind in ("raise_started", "strike_started"):
            last = None
        elif entry.key in keys and last is not None and raise_of(state, last) == raise_of(state, entry):
            steps[entry.key] = plan.step_for(str(last.place)).number
    return steps


def _in_top(places: tuple[PlaceBreaks, ...]) -> int:
    total = 0
    for kind in ("hub", "strut"):
        own = sorted((place for place in places if place.kind == kind), key=lambda place: -place.utilisation)
        total += sum(place.breaks for place in own[:max(1, round(TOP_SHARE * len(own)))])
    return total
