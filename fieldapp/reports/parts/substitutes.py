"""Which part could fill a place instead of the one meant for it, and what to make if none can."""

from dataclasses import dataclass

from fieldapp.kit.kit import Kit, Part
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan


@dataclass(frozen=True, slots=True)
class Substitute:
    """A usable part of the same class that sits nowhere."""

    part: str
    home: str | None
    """The place it is meant for; None for a spare."""
    watch: bool
    """True if it is usable but to be looked at again."""
    steps_later: int | None
    """How many steps after this place its own is; None for a spare."""


@dataclass(frozen=True, slots=True)
class ToMake:
    """What to make where no part is left."""

    kind: str
    part_class: str
    cut_length_mm: float | None
    """Struts only [mm]."""
    arms: tuple[tuple[int, float, float], ...]
    """Hubs only: (arm, azimuth, dip) at the place [deg]."""


def substitutes(plan: Plan, state: State, place: str) -> tuple[Substitute, ...]:
    """Best first: sound spares, spares on watch, then parts whose own place comes latest.

    Parameters
    ----------
    place : str
        A place of the frame; KeyError if there is none.

    Returns
    -------
    tuple of Substitute
        Never a part that is fitted, missing, quarantined or scrapped, nor the one meant for `place` now.
    """
    needed = state.kit.by_place[place]
    homes = {part: home for home, part in state.allocation.items()}
    found = [_substitute(plan, state, place, part, homes.get(part.id)) for part in state.all_parts()
             if part.kind == needed.kind and part.part_class == needed.part_class
             and homes.get(part.id) != place and _free(state, part)]
    return tuple(sorted(found, key=_rank))


def to_make(kit: Kit, place: str) -> ToMake:
    """Cut length, or arm table, of a part for `place`."""
    needed = kit.by_place[place]
    hub_arms = kit.frame.hub(place).arms if needed.kind == "hub" else ()
    return ToMake(needed.kind, needed.part_class, needed.cut_length_mm,
                  tuple((arm.number, arm.azimuth_deg, arm.dip_deg) for arm in hub_arms))


def _free(state: State, part: Part) -> bool:
    past = state.parts[part.id]
    return past.usable and past.fitted_at is None


def _substitute(plan: Plan, state: State, place: str, part: Part, home: str | None) -> Substitute:
    later = None
    if home is not None:
        later = plan.step_of.get(home, len(plan.steps)) - plan.step_of.get(place, 0)
    return Substitute(part.id, home, state.parts[part.id].condition == "watch", later)


def _rank(found: Substitute) -> tuple[bool, bool, int, str]:
    return found.home is not None, found.watch, -(found.steps_later or 0), found.part
