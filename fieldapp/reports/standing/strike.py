"""The strike: what may come out next, what to hold before it does, what is still out, what lies in which bundle."""

from collections.abc import Collection
from dataclasses import dataclass

from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import PartKind
from fieldapp.log.rules import Setting
from fieldapp.log.state import Condition, State
from fieldapp.plan.plan import Plan, Step
from fieldapp.reports.raising import StrikeProgress, bundles, strike_progress
from fieldapp.reports.standing import Standing, bearing


@dataclass(frozen=True, slots=True)
class NextOut:
    """One step of the plan taken back."""

    step: int | None
    """None for parts at places that the way leaves out."""
    hub: str | None
    """The hub that comes out; None if only struts do."""
    places: tuple[str, ...]
    """Fitted places in the order they come out: the raise backwards, see `Step.sequence`."""
    after: Standing
    """What stands then."""

    @property
    def safe(self) -> bool:
        """False if what is left would not stand even with its holds held."""
        return self.after.verdict != "clear"


@dataclass(frozen=True, slots=True)
class BundlePart:
    """One part in a bundle."""

    part: str
    kind: PartKind
    part_class: str
    condition: Condition
    came_in: tuple[str, ...]
    """dry, wet, dirty, damaged."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """One bundle, box or bag."""

    name: str
    parts: tuple[BundlePart, ...]

    @property
    def to_dry(self) -> tuple[str, ...]:
        """Parts that came in wet."""
        return tuple(one.part for one in self.parts if "wet" in one.came_in)

    @property
    def to_look_at(self) -> tuple[str, ...]:
        """Parts that are not sound or came in damaged."""
        return tuple(one.part for one in self.parts if one.condition != "sound" or "damaged" in one.came_in)


@dataclass(frozen=True, slots=True)
class Strike:
    """The strike at one moment. Words: `wording.strike`."""

    now: Standing
    next: tuple[NextOut, ...]
    """What may come out now, one for each team, the plan's last first."""
    progress: StrikeProgress
    lying: tuple[str, ...]
    """Parts that were in the frame since this raise began, are out of it and in no bundle."""
    bundles: tuple[Bundle, ...]

    @property
    def still_out(self) -> tuple[str, ...]:
        """Parts in no bundle: standing, lying about, missing."""
        return (*self.progress.standing, *self.lying, *self.progress.missing)


@remembered(4)
def strike(site: Setting, state: State) -> Strike:
    """The plan backwards, judged from what is really fitted.

    Parameters
    ----------
    site : Setting
    state : State
        In any phase.
    """
    outside = tuple(place for place in sorted(state.fitted) if place not in site.plan.step_of)
    found = [_next_out(site, state, step=None, places=outside)] if outside else []
    found += [_next_out(site, state, step=step, places=places)
              for step, places in last_steps(site.plan, state.fitted, site.kit.design.crew.teams)]
    progress = strike_progress(state)
    lying = tuple(part for part in progress.loose if _was_in_the_frame(state, part))
    return Strike(bearing(site, state), tuple(found), progress, lying, bundle_list(state))


def _was_in_the_frame(state: State, part: str) -> bool:
    """True if it was fitted since the newest raise began; spares that stayed in the stores are not out."""
    began = state.raises[-1].started if state.raises else None
    fits = (state.index[key] for key in state.parts[part].entries if key in state.index)
    return any(entry.kind in ("fitted", "step_done") and (began is None or entry.at >= began) for entry in fits)


def last_steps(plan: Plan, fitted: Collection[str], most: int) -> tuple[tuple[Step, tuple[str, ...]], ...]:
    """Steps that can be taken back now, the plan's last first, each with its fitted places in the order they come out.

    A step can be taken back when no fitted place of another step waits for its hub. Where a piece is
    built apart only the last one can: the others bear it.
    """
    tops = {step.hub: number for number, step in enumerate(plan.steps)}
    busy: set[str] = set()
    found: list[tuple[Step, tuple[str, ...]]] = []
    for number in range(len(plan.steps) - 1, -1, -1):
        step = plan.steps[number]
        places = _fitted_places(step, fitted, takes_hub=not step.joins)
        if not places:
            continue
        if step.hub not in busy and tops[step.hub] >= number and len(found) < most:
            found.append((step, places))
        if step.piece:
            return tuple(found[:1])
        busy.update(step.waits_for)
        busy.add(step.hub)
    return tuple(found)


def _fitted_places(step: Step, fitted: Collection[str], *, takes_hub: bool) -> tuple[str, ...]:
    return tuple(place for place in reversed(step.sequence) if place in fitted and (takes_hub or place != step.hub))


def _next_out(site: Setting, state: State, *, step: Step | None, places: tuple[str, ...]) -> NextOut:
    hub = next((place for place in places if place in site.kit.frame.hub_index), None)
    return NextOut(step.number if step else None, hub, places, bearing(site, state.if_empty(places)))


def bundle_list(state: State) -> tuple[Bundle, ...]:
    """Every bundle with its parts, both in order."""
    return tuple(Bundle(name, tuple(_bundle_part(state, part) for part in parts))
                 for name, parts in bundles(state).items())


def _bundle_part(state: State, part_id: str) -> BundlePart:
    part, past = state.part(part_id), state.parts[part_id]
    return BundlePart(part_id, part.kind, part.part_class, past.condition, past.came_in)
