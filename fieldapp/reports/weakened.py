"""What the frame that stands has lost: arms and struts that cannot carry, or carry less, as the statics want it."""

from collections.abc import Mapping
from dataclasses import dataclass

from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.log.state import PartState, State


@dataclass(frozen=True, slots=True)
class Weakened:
    """Shares of a sound one, 0 to 1, for places that hold a part; places that are not named are sound."""

    arms: Mapping[tuple[str, int], float]
    """(hub place, arm of the place) → share."""
    struts: Mapping[str, float]
    """Strut place → share of its weaker end or of the whole strut."""


def weakened(state: State) -> Weakened:
    """From the open defects and stated capacities of what is fitted.

    Returns
    -------
    Weakened
        0 for an arm, or strut, with damage that is not slight and not mended; damage of a whole hub counts for all
        its arms; a mended one carries the capacity stated at its repair.

    Notes
    -----
    Arms are marked on the part as at the place it was made for; `kit.interchange` says at which arm of the
    place each comes to lie.
    """
    arms: dict[tuple[str, int], float] = {}
    struts: dict[str, float] = {}
    for place in sorted(state.fitted):
        part, past = state.part(state.fitted[place]), state.parts[state.fitted[place]]
        if part.kind == "strut":
            share = min(_share(past, 1), _share(past, 2))
            if share < 1.0:
                struts[place] = share
        else:
            arms.update(_arms(state.kit, part, past, place))
    return Weakened(arms, struts)


def _arms(kit: Kit, part: Part, past: PartState, place: str) -> dict[tuple[str, int], float]:
    """Weakened arms of one hub, by the place's arm numbers."""
    if not past.defects and not past.capacity:
        return {}
    turns = hub_turns(kit, part, place)
    pairs = turns[0].arms if turns else tuple((arm.number, arm.number) for arm in kit.frame.hub(place).arms)
    shares = {(place, place_arm): _share(past, part_arm) for part_arm, place_arm in pairs}
    return {spot: share for spot, share in shares.items() if share < 1.0}


def _share(past: PartState, number: int) -> float:
    """Of one arm or end as marked on the part."""
    for defect in past.defects:
        here = defect.arm if defect.arm is not None else defect.end
        if defect.unsafe and not defect.mended and here in (None, number):
            return 0.0
    return past.capacity_of(number)
