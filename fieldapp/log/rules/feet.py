"""Rules for what keeps the feet: pegs, anchors or ballast put there and taken away again."""

from collections.abc import Callable, Iterable

from fieldapp.base.said import row
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import FeetFreedData, FeetHeldData
from fieldapp.log.rules.terms import Admitted, Asked


def feet_held(asked: Asked, data: FeetHeldData) -> Admitted | Refusal:
    """Feet that are in and not held yet; how they are held is the design's word, where it has one."""
    refusal = _no_foot(asked, data.feet)
    if refusal:
        return refusal
    outside = _those(data.feet, lambda hub: not asked.state.is_fitted(hub))
    if outside:
        return refuse("foot_not_in", "not in the frame yet: {hubs}.",
                      "Log it as fitted first, then peg it.", hubs=row(outside, most=6))
    open_feet = _those(data.feet, lambda hub: hub not in asked.state.held_feet)
    if not open_feet:
        said = asked.when_and_who(asked.state.held_feet[data.feet[0]])
        return refuse("foot_held", "pegged or weighed down already: {hubs} ({said}).", "Nothing more to do.",
                      hubs=row(data.feet, most=6), said=said)
    planned = asked.site.kit.design.ground.held_by
    return _about(open_feet, FeetHeldData(feet=open_feet, how=data.how if planned == "nothing" else planned))


def feet_freed(asked: Asked, data: FeetFreedData) -> Admitted | Refusal:
    """Only what is held can be let go."""
    refusal = _no_foot(asked, data.feet)
    if refusal:
        return refusal
    held = _those(data.feet, lambda hub: hub in asked.state.held_feet)
    if not held:
        return refuse("foot_not_held", "not logged as pegged or weighed down: {hubs}.", "Nothing more to do.",
                      hubs=row(data.feet, most=6))
    return _about(held, FeetFreedData(feet=held))


def _about(feet: tuple[str, ...], data: FeetHeldData | FeetFreedData) -> Admitted:
    """The entry names its place where it is of one foot only."""
    return Admitted(place=feet[0] if len(feet) == 1 else None, data=data)


def _those(feet: Iterable[str], which: Callable[[str], bool]) -> tuple[str, ...]:
    """Each once, in the order given."""
    return tuple(hub for hub in dict.fromkeys(feet) if which(hub))


def _no_foot(asked: Asked, feet: Iterable[str]) -> Refusal | None:
    frame = asked.site.kit.frame
    feet_of_it = [hub.name for hub in frame.hubs if hub.on_ground]
    wrong = _those(feet, lambda hub: hub not in feet_of_it)
    if not wrong:
        return None
    return refuse("no_foot", "{hub} is no foot of this frame.", "Feet are the hubs on the ground: {feet}.",
                  hub=wrong[0], feet=row(feet_of_it, most=6))
