"""What can take the place of a part: spares, parts not yet needed, or what to make; each with its exchange."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from fieldapp.base.said import Said
from fieldapp.kit.interchange import Turn, hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.sections import told_section
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan
from fieldapp.reports.parts import stock_of


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
    section: Said | None = None
    """Of a strut, where the kit has more than one."""


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
                  tuple((arm.number, arm.azimuth_deg, arm.dip_deg) for arm in hub_arms),
                  told_section(kit, needed.part_class) if needed.kind == "strut" else None)


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


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that fits a place as it is."""

    part: str
    home: str | None
    """The place it is meant for; None for a spare."""
    watch: bool
    steps_later: int | None
    """How many steps after this place its own comes; None for a spare."""
    turn: Turn | None
    """Hubs: which of its arms comes where; None for struts."""
    own: str = ""
    """Letters of the kit: a part of another is called with its own."""

    @property
    def keeps_numbers(self) -> bool:
        """True if its arms need no other numbers."""
        return self.turn is None or self.turn.keeps_numbers


@dataclass(frozen=True, slots=True)
class Exchange:
    """The one entry that gives a part another place: what a phone sends."""

    part: str
    place: str
    kind: str = "exchanged"
    data: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Replacements:
    """All that could go to a place instead."""

    place: str
    candidates: tuple[Candidate, ...]
    """Nearest first: sound spares, spares on watch, then parts whose own place comes latest."""
    make: ToMake
    """What to make if none is left, or before the next raise."""

    def exchange(self, candidate: Candidate) -> Exchange:
        """What to send to give `candidate` this place."""
        return Exchange(candidate.part, self.place)


def replacements(site: Setting, state: State, place: str, *, now: datetime) -> Replacements:
    """Parts of the same class that sit nowhere and may be used now.

    Parameters
    ----------
    site : Setting
    state : State
    place : str
        A place of the frame; KeyError if there is none.
    now : datetime
        Parts whose glue or drying needs longer are passed over.
    """
    found = [_candidate(site, state, place, found=one) for one in substitutes(site.plan, state, place)
             if stock_of(state, one.part, now) in ("sound", "watch")]
    return Replacements(place, tuple(found), to_make(site.kit, place))


def _candidate(site: Setting, state: State, place: str, *, found: Substitute) -> Candidate:
    part = state.part(found.part)
    turns = hub_turns(site.kit, part, place) if part.kind == "hub" else ()
    return Candidate(found.part, found.home, found.watch, found.steps_later, turns[0] if turns else None,
                     site.kit.design.frame.prefix)
