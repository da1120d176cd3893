"""What stands against putting a frame together as designed, found before anything is cut.

One judgement for `raisebook new`, `raisebook make` and the workshop's sheets. What cannot be put together is refused;
what can be with work is warned of. Each is said with both measures and with the nearest answers that fit. That a reach
leaves something of the shortest strut, and a wall something of the tube, is asked before there is a frame
(`frame.orient.check_reach`, `frame.design_rules`); that the stock is long enough for the round part, `kit.check_stock`.
"""

from collections.abc import Callable, Iterable, Iterator

from fieldapp.base.errors import DesignError
from fieldapp.base.said import in_words
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.building.lengths import classes, ends, hole, hub_classes
from fieldapp.kit.building.plate import plate, touch
from fieldapp.kit.building.plug import bore, depth, slot
from fieldapp.kit.building.record import Building, Hindrance
from fieldapp.kit.building.weight import weight

CHECKS: tuple[Callable[[Building], Iterator[Hindrance]], ...] = (
    plate, bore, slot, depth, hole, ends, touch, classes, hub_classes, weight)
"""In the order in which they are said, after what refuses."""


def hindrances(design: Design, frame: Frame) -> tuple[Hindrance, ...]:
    """All that stands against it, what refuses first."""
    of = Building(design, frame)
    found = [each for check in CHECKS for each in check(of)]
    return tuple(sorted(found, key=lambda each: not each.refuses))


def refuse_what_cannot_be_built(found: Iterable[Hindrance]) -> None:
    """DesignError if something of it cannot be put together, all reasons in one message."""
    reasons = [in_words(each.said) for each in found if each.refuses]
    if reasons:
        raise DesignError("\n".join((*reasons, "Nothing was written. Change the answers, then run the command again.")))
