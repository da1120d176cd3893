"""What can take the place of a part: spares, parts not yet needed, or what to make; each with its exchange."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from fieldapp.kit.interchange import Turn, hub_turns
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.parts.substitutes import Substitute, ToMake, substitutes, to_make
from fieldapp.reports.parts.usable import stock_of


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
    return Candidate(found.part, found.home, found.watch, found.steps_later, turns[0] if turns else None)
