"""What the frame that stands has lost: arms and struts that cannot carry, or carry less, as the statics want it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fieldapp.base.materials import Family
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.log.state import PartState, State
from fieldapp.reports.parts.left import families, share_left


@dataclass(frozen=True, slots=True)
class Weakened:
    """Shares of a sound one, 0 to 1, for places that hold a part; places that are not named are sound."""

    arms: Mapping[tuple[str, int], float]
    """(hub place, arm of the place) → share."""
    struts: Mapping[str, float]
    """Strut place → share of its weaker end or of the whole strut."""
    ends_gone: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    """Strut place → its ends that carry nothing, for struts of share 0."""


def weakened(state: State) -> Weakened:
    """From the open defects and stated capacities of what is fitted.

    Returns
    -------
    Weakened
        What each defect leaves (`left.share_left`), 0 for an arm that snapped; damage of a whole hub counts for
        all its arms; a mended one carries the capacity stated at its repair.

    Notes
    -----
    Arms are marked on the part as at the place it was made for; `kit.interchange` says at which arm of the
    place each comes to lie.
    """
    arms: dict[tuple[str, int], float] = {}
    made_of = families(state.kit.design)
    struts: dict[str, float] = {}
    ends_gone: dict[str, tuple[int, ...]] = {}
    for place in sorted(state.fitted):
        part, past = state.part(state.fitted[place]), state.parts[state.fitted[place]]
        if part.kind == "strut":
            shares = _share(past, 1, made_of["strut"]), _share(past, 2, made_of["strut"])
            if min(shares) < 1.0:
                struts[place] = min(shares)
            if min(shares) == 0.0:
                ends_gone[place] = tuple(end for end, share in enumerate(shares, start=1) if share == 0.0)
        else:
            arms.update(_arms(state.kit, part, past, place))
    return Weakened(arms, struts, ends_gone)


def _arms(kit: Kit, part: Part, past: PartState, place: str) -> dict[tuple[str, int], float]:
    """Weakened arms of one hub, by the place's arm numbers."""
    if not past.defects and not past.capacity:
        return {}
    family = families(kit.design)["hub"]
    turns = hub_turns(kit, part, place)
    pairs = turns[0].arms if turns else tuple((arm.number, arm.number) for arm in kit.frame.hub(place).arms)
    shares = {(place, place_arm): _share(past, part_arm, family) for part_arm, place_arm in pairs}
    return {spot: share for spot, share in shares.items() if share < 1.0}


def _share(past: PartState, number: int, family: Family) -> float:
    """Of one arm or end as marked on the part."""
    found = past.capacity_of(number)
    for defect in past.defects:
        here = defect.arm if defect.arm is not None else defect.end
        if here in (None, number):
            found = min(found, share_left(defect, family))
    return found
