"""Parts and their IDs. Here from a design to its kit: the frame, a part for every place, spares."""

from collections.abc import Iterable

from fieldapp.base.errors import DesignError, KitError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.struts import table_of
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.parts import cut_length_mm, place_parts, spare_parts


def build_kit(design: Design) -> Kit:
    """The kit of a design: pure, so the same design gives the same kit.

    Raises
    ------
    DesignError
        If the frame cannot be built (a reach that leaves nothing of a strut, too) or the stock is too short.
    """
    frame = build_frame(design)
    check_stock(design, frame)
    parts = place_parts(design, frame)
    return kit_of(design, frame, (*parts, *spare_parts(design, frame, parts)))


def kit_of(design: Design, frame: Frame, parts: Iterable[Part]) -> Kit:
    """A kit of these parts, sorted hubs first, each by number.

    Raises
    ------
    KitError
        If two parts have the same ID or were made for the same place.
    """
    ordered = tuple(sorted(parts, key=lambda part: (part.kind, part.number)))
    by_id = {part.id: part for part in ordered}
    by_place = {part.made_for: part for part in ordered if part.made_for is not None}
    if len(by_id) < len(ordered) or len(by_place) < sum(not part.is_spare for part in ordered):
        raise KitError("two parts of the kit have the same ID or the same place. Restore kit.json from a backup.")
    return Kit(design=design, frame=frame, parts=ordered, by_id=by_id, by_place=by_place)


def with_parts(kit: Kit, parts: Iterable[Part]) -> Kit:
    """The kit with parts added that were made later, e.g. on site."""
    return kit_of(kit.design, kit.frame, (*kit.parts, *parts))


def check_stock(design: Design, frame: Frame) -> None:
    """DesignError if the stock is too short for a strut."""
    for longest in {each.section: each for each in frame.strut_classes}.values():
        longest_cut_mm = cut_length_mm(longest.centre_length_mm, design)
        stock_mm = design.section(longest.section).stock_mm
        if longest_cut_mm > stock_mm:
            raise DesignError(
                f"{table_of(longest.section)}.stock_mm is {stock_mm:g}, but strut {longest.letter} is cut "
                f"{longest_cut_mm:.1f} mm long; allowed is that or more. Buy longer stock, or build a smaller frame.")
