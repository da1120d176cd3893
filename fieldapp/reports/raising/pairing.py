"""Two scans in a row: does this strut go into this hub, at which arm with which end, or where does each go?"""

from dataclasses import dataclass

from fieldapp.base.errors import PartIdError
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Kit
from fieldapp.log.state import State


@dataclass(frozen=True, slots=True)
class StrutSeat:
    """One end of a strut at its place."""

    end: int
    hub_place: str
    hub_part: str | None
    """The part that sits there, or is meant to."""


@dataclass(frozen=True, slots=True)
class ArmSeat:
    """One arm of a hub at its place."""

    arm: int
    """As marked on the part."""
    strut_place: str
    strut_class: str
    end: int
    """The end of the strut that goes onto it."""
    filled: bool
    """True if a strut sits at that place already."""


@dataclass(frozen=True, slots=True)
class Pairing:
    """A strut and a hub. Words: `wording.seat`."""

    strut: str
    hub: str
    strut_place: str | None
    """Where it sits or is meant to sit; None for a spare."""
    hub_place: str | None
    seat: ArmSeat | None
    """The arm and end where the two meet; None if they do not."""
    strut_goes: tuple[StrutSeat, ...]
    """Both ends of the strut; empty for a spare."""
    hub_takes: tuple[ArmSeat, ...]
    """All arms of the hub, by number; empty for a spare."""
    could_go: tuple[ArmSeat, ...]
    """Open arms of this hub that take a strut of the same class: there it fits if the two places are exchanged."""
    own: str = ""
    """Letters of the kit: a part of another is called with its own."""

    @property
    def fits(self) -> bool:
        """True if the two meet."""
        return self.seat is not None


def pairing(kit: Kit, state: State, *, strut: str, hub: str) -> Pairing:
    """How a strut and a hub belong together.

    Parameters
    ----------
    kit : Kit
    state : State
        Says where each sits or is meant to sit now.
    strut, hub : str
        Printed IDs.

    Raises
    ------
    PartIdError
        If there is no such part, or one of them is of the other kind.
    """
    for part, kind in ((strut, "strut"), (hub, "hub")):
        if state.part(part).kind != kind:
            raise PartIdError(f"{part} is no {kind}; scan one hub and one strut")
    strut_place, hub_place = _place_of(state, strut), _place_of(state, hub)
    goes = _strut_goes(kit, state, strut_place)
    takes = _hub_takes(kit, state, hub, place=hub_place)
    seat = next((seat for seat in takes if seat.strut_place == strut_place), None)
    past = state.parts[strut]
    free = seat is None and past.usable and past.fitted_at is None
    could = tuple(one for one in takes if not one.filled and one.strut_class == state.part(strut).part_class) \
        if free else ()
    return Pairing(strut, hub, strut_place, hub_place, seat, goes, takes, could,
                   kit.design.frame.prefix)


def _place_of(state: State, part: str) -> str | None:
    return state.parts[part].fitted_at or state.home_of(part)


def _strut_goes(kit: Kit, state: State, place: str | None) -> tuple[StrutSeat, ...]:
    if place is None:
        return ()
    strut = kit.frame.strut(place)
    hubs = strut.end_1.hub, strut.end_2.hub
    return tuple(StrutSeat(end, hub, state.fitted.get(hub) or state.allocation.get(hub))
                 for end, hub in enumerate(hubs, start=1))


def _hub_takes(kit: Kit, state: State, part: str, *, place: str | None) -> tuple[ArmSeat, ...]:
    if place is None:
        return ()
    turns = hub_turns(kit, state.part(part), place)
    marked = {at: own for own, at in turns[0].arms} if turns else {}
    seats = (ArmSeat(marked.get(arm.number, arm.number), arm.strut, kit.frame.strut(arm.strut).strut_class, arm.end,
                     state.is_fitted(arm.strut)) for arm in kit.frame.hub(place).arms)
    return tuple(sorted(seats, key=lambda seat: seat.arm))
