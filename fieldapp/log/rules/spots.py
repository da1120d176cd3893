"""Arms and ends: whether the part in question has the one that is named."""

from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.rules.terms import Asked, short_name


def arm_count(asked: Asked) -> int:
    """How many arms the hub in question has."""
    classes = asked.site.kit.frame.hub_classes
    return next((len(c.gaps_deg) for c in classes if c.name == asked.part.part_class), 0)


def no_such_spot(asked: Asked, arm: int | None, end: int | None) -> Refusal | None:
    """Refused if the part has no such arm or end; None if it has, or if neither is named."""
    name, kind = short_name(asked.part.id), asked.part.kind
    if kind == "strut" and arm is not None:
        return refuse("no_such_spot", "{part} is a strut; it has no arm {arm}.", "Say which end instead: 1 or 2.",
                      part=name, arm=arm)
    if kind == "hub" and end is not None:
        return refuse("no_such_spot", "{part} is a hub; it has no end {end}.", "Say which arm instead: 1 to {count}.",
                      part=name, end=end, count=arm_count(asked))
    if arm is not None and arm > arm_count(asked):
        return refuse("no_such_spot", "{part} has {count} arms; there is no arm {arm}.", "Choose arm 1 to {count}.",
                      part=name, arm=arm, count=arm_count(asked))
    return None
