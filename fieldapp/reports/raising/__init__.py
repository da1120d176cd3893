"""How far the frame is: by level, and what each team could take next of what may go in or come out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fieldapp.log.state import State
from fieldapp.plan.plan import Plan, Step


@dataclass(frozen=True, slots=True)
class LevelProgress:
    """How far one level is; a strut counts with the level of the hub it comes with."""

    level: int
    fitted: int
    needed: int


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the whole frame is."""

    levels: tuple[LevelProgress, ...]
    """From the ground up."""
    fitted: int
    needed: int

    @property
    def share(self) -> float:
        """Of what is needed, 0 to 1; 1 for a plan without places."""
        return self.fitted / self.needed if self.needed else 1.0


@dataclass(frozen=True, slots=True)
class NextPlace:
    """A place that may be filled now."""

    place: str
    part: str | None
    """The part meant for it; None if none is."""
    step: int
    level: int
    usable: bool
    """False if that part is broken, missing or scrapped: another must be found first."""


@dataclass(frozen=True, slots=True)
class StrikeProgress:
    """How far the strike is, by part ID, each list in order of ID."""

    standing: tuple[str, ...]
    loose: tuple[str, ...]
    """Out of the frame, in no bundle."""
    stored: tuple[str, ...]
    missing: tuple[str, ...]


def places_of(step: Step) -> tuple[str, ...]:
    """The places that a step fills."""
    return step.places


def progress(plan: Plan, state: State) -> Progress:
    """Fitted of needed, level by level; places that the plan leaves out count nowhere."""
    fitted: dict[int, int] = {}
    needed: dict[int, int] = {}
    for step in plan.steps:
        places = places_of(step)
        needed[step.level] = needed.get(step.level, 0) + len(places)
        fitted[step.level] = fitted.get(step.level, 0) + sum(map(state.is_fitted, places))
    levels = tuple(LevelProgress(level, fitted[level], needed[level]) for level in sorted(needed))
    return Progress(levels, sum(fitted.values()), sum(needed.values()))


def by_team(places: Sequence[NextPlace], teams: int) -> tuple[tuple[NextPlace, ...], ...]:
    """Places shared out in runs along the level, so that teams do not cross; whole steps stay together.

    Parameters
    ----------
    places : sequence of NextPlace
        In the order of the plan.
    teams : int
        At least 1.

    Returns
    -------
    tuple of tuples
        One for each team; the first ones may have a step more than the last.
    """
    steps = sorted({place.step for place in places})
    share, more = divmod(len(steps), max(teams, 1))
    shared: list[tuple[NextPlace, ...]] = []
    first = 0
    for team in range(max(teams, 1)):
        last = first + share + (team < more)
        mine = set(steps[first:last])
        shared.append(tuple(place for place in places if place.step in mine))
        first = last
    return tuple(shared)


def strike_progress(state: State) -> StrikeProgress:
    """What still stands, lies about, is stored, or cannot be found; scrapped parts count nowhere."""
    standing, loose, stored, missing = [], [], [], []
    for part in sorted(_alive(state)):
        past = state.parts[part]
        if past.fitted_at is not None:
            standing.append(part)
        elif past.missing:
            missing.append(part)
        elif past.bundle is not None:
            stored.append(part)
        else:
            loose.append(part)
    return StrikeProgress(tuple(standing), tuple(loose), tuple(stored), tuple(missing))


def bundles(state: State) -> dict[str, tuple[str, ...]]:
    """Bundle → IDs of the parts in it, both in order."""
    inside: dict[str, list[str]] = {}
    for part in sorted(state.parts):
        bundle = state.parts[part].bundle
        if bundle is not None:
            inside.setdefault(bundle, []).append(part)
    return {bundle: tuple(inside[bundle]) for bundle in sorted(inside)}


def _alive(state: State) -> Iterable[str]:
    return (part for part, past in state.parts.items() if past.condition != "scrapped" and past.away is None)
