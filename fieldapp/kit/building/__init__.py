"""What stands against putting a frame together as designed, found before anything is cut.

One judgement for `raisebook new`, `raisebook make` and the workshop's sheets. What cannot be put together is refused;
what can be with work is warned of. Each is said with both measures and with the nearest answers that fit. That a reach
leaves something of the shortest strut, and a wall something of the tube, is asked before there is a frame
(`frame.orient.check_reach`, `frame.design_rules`); that the stock is long enough for the round part, `kit.check_stock`.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from fieldapp.base.errors import DesignError
from fieldapp.base.said import in_words, say
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import table_of
from fieldapp.kit.building.lengths import classes, ends, hole, hub_classes
from fieldapp.kit.building.plate import plate, touch
from fieldapp.kit.building.plug import bore, depth, loose, slot
from fieldapp.kit.building.record import Building, Hindrance
from fieldapp.kit.building.weight import weight

OF_STRUTS: tuple[Callable[[Building], Iterator[Hindrance]], ...] = (bore, slot, depth, hole, ends, touch, classes)
"""What is asked of every section by itself."""
CHECKS: tuple[Callable[[Building], Iterator[Hindrance]], ...] = (plate, loose, *OF_STRUTS, hub_classes, weight)
"""In the order in which they are said, after what refuses."""


def hindrances(design: Design, frame: Frame) -> tuple[Hindrance, ...]:
    """All that stands against it, what refuses first."""
    whole, sections = Building(design, frame), tuple(_sections(design, frame))
    found = [each for check in CHECKS
             for each in (_of_each(check, sections) if check in OF_STRUTS else check(whole))]
    return tuple(sorted(found, key=lambda each: not each.refuses))


def _sections(design: Design, frame: Frame) -> Iterator[Building]:
    """A design and frame for each section: its struts, and the hub classes that hold such."""
    for name in frame.sections:
        letters = {each.letter for each in frame.strut_classes if each.section == name}
        struts = tuple(strut for strut in frame.struts if strut.strut_class in letters)
        classes = {frame.hub(end.hub).hub_class for strut in struts for end in (strut.end_1, strut.end_2)}
        of = replace(frame, struts=struts,
                     strut_classes=tuple(each for each in frame.strut_classes if each.letter in letters),
                     hub_classes=tuple(each for each in frame.hub_classes if each.name in classes))
        yield Building(design.model_copy(update={"strut": design.section(name)}), of, name,
                       frame.strut_classes[0].centre_length_mm)


def _of_each(check: Callable[[Building], Iterator[Hindrance]], sections: Sequence[Building]) -> Iterator[Hindrance]:
    """What a check finds in every section; where there are several, each says of which it speaks."""
    for of in sections:
        for each in check(of):
            yield each if len(sections) == 1 else replace(each, said=say(
                "[{section}]: {what}", section=table_of(of.section), what=each.said))


def refuse_what_cannot_be_built(found: Iterable[Hindrance]) -> None:
    """DesignError if something of it cannot be put together, all reasons in one message."""
    reasons = [in_words(each.said) for each in found if each.refuses]
    if reasons:
        raise DesignError("\n".join((*reasons, "Nothing was written. Change the answers, then run the command again.")))
