"""All kinds of labels: those of parts, strips round struts, hub faces, tags, and what boxes, bundles and bags hold."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.frame.arms import fanned_deg
from fieldapp.frame.design import Design
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints import in_kit_language
from fieldapp.prints.sheets import LabelKind
from fieldapp.prints.sheets.containers import bag_labels, box_labels, bundle_labels
from fieldapp.prints.sheets.labels import (
    BACK,
    THIS_END,
    UP,
    chosen_parts,
    hub_label,
    hub_lines,
    kit_warnings,
    name_warnings,
    part_labels,
    print_options,
    printable,
    sheet_stock,
    strut_label,
    write_sheets,
)
from fieldapp.wording.facing import facing
from fieldapp.wording.place import handed_words
from labels import PAPERS_MM
from labels.face import hexagon_mm
from labels.label import Label, Spoke
from labels.pieces import Warned
from labels.sheet import Sheet, lay_out_sheets
from labels.stock import CUT_MARGIN_MM, RollStock, SheetStock, cut_stock

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class KindPrinted:
    """What one kind of label is."""

    labels: Callable[[Kit, Sequence[str] | None], Sequence[Label]]
    """For all parts, or for those of typed IDs."""
    size_mm: Callable[[Design], Size]


@in_kit_language
def write_kind(kit: Kit, path: Path, kind: LabelKind, *, part_ids: Sequence[str] | None = None, start: int = 1,
               on_roll: bool = False) -> tuple[Warned, ...]:
    """Write labels of one kind as PDF.

    Parameters
    ----------
    kit : Kit
    path : Path
    kind : LabelKind
        "part": one for each hub and each end of a strut. "wrap": strips round struts, at end 1 or the one named.
        "hub-round", "hub-hex": faces of hubs. "tag": tags to tie on. "box", "bundle", "bag": lists of contents.
    part_ids : sequence of str or None
        IDs as typed; None for all. Bundles and bags are those that hold one of these parts; a box holds just these.
    start : int
        First free position of the first sheet, counted from 1 along the rows.
    on_roll : bool
        Print for the label roll: parts on labels of its size, every other kind on pages of its own size.

    Returns
    -------
    tuple of Warned
        What did not fit, by label.

    Raises
    ------
    PartIdError
        If an ID is not of this kit.
    PaperError
        If there is nothing to print, the labels do not fit the paper, or a text does not fit a symbol.
    """
    sheets, stock = kind_sheets(kit, kind, part_ids, start=start, on_roll=on_roll)
    warnings = write_sheets(kit, path, sheets, stock, title=_("{name}: labels"))
    return (*(kit_warnings(kit) if kind == "part" else name_warnings(kit.design)), *warnings)


def kind_sheets(kit: Kit, kind: LabelKind, part_ids: Sequence[str] | None = None, *, start: int = 1,
                on_roll: bool = False) -> tuple[tuple[Sheet, ...], SheetStock | RollStock]:
    """The sheets that `write_kind` writes, and their stock; raises the same errors."""
    printed = PRINTED[kind]
    labels = printed.labels(kit, part_ids)
    if not labels:
        raise PaperError(f"there are no labels of the kind {kind} for {', '.join(part_ids or ()) or 'this kit'}; "
                         f"{NOTHING[kind]}")
    with printable():
        if kind == "wrap":
            return _wrap_sheets(kit, labels, start, on_roll=on_roll)
        size_mm = printed.size_mm(kit.design)
        stock = roll_stock(kit.design, size_mm) if on_roll else \
            sheet_stock(kit.design) if kind == "part" else cut_stock(kit.design.labels.paper, size_mm)
        return lay_out_sheets(labels, stock, print_options(kit.design, start)), stock


def _wrap_sheets(kit: Kit, labels: Sequence[Label], start: int, *,
                 on_roll: bool) -> tuple[tuple[Sheet, ...], SheetStock | RollStock]:
    """Strips as long as their own tubes want: one diameter a sheet, and on a roll only one in all."""
    tubes_mm, design = tuple(dict.fromkeys(label.tube_mm for label in labels)), kit.design
    if on_roll:
        if len(tubes_mm) > 1:
            raise PaperError(f"strips round struts of {' and '.join(f'{mm:g}' for mm in tubes_mm)} mm are not equally "
                             f"long, and a roll has one length; name the struts of one of them.")
        roll = roll_stock(design, wrap_mm(design, tubes_mm[0]))
        return lay_out_sheets(labels, roll, print_options(design, start)), roll
    stocks = {mm: cut_stock(design.labels.paper, wrap_mm(design, mm)) for mm in tubes_mm}
    sheets = tuple(sheet for number, mm in enumerate(tubes_mm)
                   for sheet in lay_out_sheets([label for label in labels if label.tube_mm == mm], stocks[mm],
                                               print_options(design, 1 if number else start)))
    return sheets, stocks[tubes_mm[0]]


def roll_stock(design: Design, size_mm: Size) -> RollStock:
    """The label roll of the design, cut to a size."""
    section = design.labels
    return RollStock(*size_mm, section.roll_gap_mm, section.roll_strip, section.printer_dpi)


def wrap_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """A strip for end 1 of each strut, or for the end that was named; two to an end if one is too long for the paper.

    One a strut: it is read from every side but its seam, names hub and arm of both ends, and its arrow tells them
    apart.
    """
    return tuple(_strip(label, number, strips_round(kit.design, label.tube_mm))
                 for part, named in chosen_parts(kit, part_ids) if part.kind == "strut"
                 for label in (replace(strut_label(kit, part, named or 1), lines=_far_end(kit, part, named or 1)),)
                 for number in range(1, strips_round(kit.design, label.tube_mm) + 1))


def _far_end(kit: Kit, part: Part, end: int) -> tuple[str, ...]:
    """Where the other end goes, arm and all, since no strip sits there; a spare has no place yet."""
    if part.made_for is None:
        return (_("spare"),)
    there = kit.frame.strut(part.made_for).end(3 - end)
    return (_("other end: {hub} arm {arm}").format(hub=there.hub, arm=there.arm),)


def _strip(label: Label, number: int, count: int) -> Label:
    """A strut's label as a strip."""
    name = label.name if count == 1 else \
        _("{name}, strip {number} of {count}").format(name=label.name, number=number, count=count)
    return replace(label, form="wrap", name=name, glue_words=_("stick this edge first"), cut_words=_("cut off"))


def strips_round(design: Design, tube_mm: float) -> int:
    """How many strips go round a strut: one, unless the paper is too short for it."""
    longest_mm = PAPERS_MM[design.labels.paper][1] - 2 * CUT_MARGIN_MM
    return math.ceil((math.pi * tube_mm + design.labels.wrap_overlap_mm) / longest_mm)


def wrap_mm(design: Design, tube_mm: float) -> Size:
    """Width along the strut and length round it; a strip that goes only part of the way round needs no overlap."""
    once_round, count = math.pi * tube_mm, strips_round(design, tube_mm)
    return design.labels.wrap_width_mm, (once_round + design.labels.wrap_overlap_mm if count == 1
                                         else once_round / count)


def face_labels(kit: Kit, part_ids: Sequence[str] | None, *, hexagon: bool) -> tuple[Label, ...]:
    """Faces of hubs."""
    return tuple(face_label(kit, part, hexagon=hexagon) for part, _ in chosen_parts(kit, part_ids)
                 if part.kind == "hub")


def face_label(kit: Kit, part: Part, *, hexagon: bool) -> Label:
    """A hub's face with its arms at their true directions; a spare's arms have no numbers, for it has no place yet."""
    handed = next((c.handed for c in kit.frame.hub_classes if c.name == part.part_class), None)
    lines = (*((handed_words(handed),) if handed else ()), *hub_lines(kit.frame, part))
    return replace(hub_label(kit, part), form="hexagon" if hexagon else "round", lines=lines,
                   spokes=tuple(_spokes(kit, part)))


def _spokes(kit: Kit, part: Part) -> Iterator[Spoke]:
    """The arms of a hub: of its place, or of a spare's class from its pattern's first arm."""
    if part.made_for is not None:
        arms = kit.frame.hub(part.made_for).arms
        for arm, shown_deg in zip(arms, fanned_deg([arm.azimuth_deg for arm in arms]), strict=True):
            yield Spoke(shown_deg, str(arm.number), arm.strut)
        return
    gaps_deg = next((c.gaps_deg for c in kit.frame.hub_classes if c.name == part.part_class), ())
    for index in range(len(gaps_deg)):
        yield Spoke(sum(gaps_deg[:index]), "", "")


def tag_labels(kit: Kit, part_ids: Sequence[str] | None = None) -> tuple[Label, ...]:
    """Tags for hubs and for both ends of struts. What hangs turns round: it points nowhere and faces nowhere."""
    face = _(facing(kit.frame).label)
    return tuple(_hanging(label, face) for label in part_labels(kit, part_ids) if not label.tags)


def _hanging(label: Label, face: str) -> Label:
    """The same without arrow and face; a strut's tag is tied to the end that it tells of, a spare's tells of none."""
    told = (label.arrow,) if label.arrow and label.arrow not in (_(UP), _(BACK), _(THIS_END)) else ()
    lines = tuple(line for line in label.lines if line != face)
    return replace(label, form="tag", lines=(*told, *lines), arrow="", arrow_short="", tube_mm=0.0)


PRINTED: dict[LabelKind, KindPrinted] = {
    "part": KindPrinted(part_labels, lambda design: (design.labels.roll_width_mm, design.labels.roll_length_mm)),
    "wrap": KindPrinted(wrap_labels, lambda design: wrap_mm(design, design.strut.outer_mm)),
    "hub-round": KindPrinted(lambda kit, ids: face_labels(kit, ids, hexagon=False),
                             lambda design: (design.labels.hub_label_mm, design.labels.hub_label_mm)),
    "hub-hex": KindPrinted(lambda kit, ids: face_labels(kit, ids, hexagon=True),
                           lambda design: hexagon_mm(design.labels.hub_label_mm)),
    "tag": KindPrinted(tag_labels, lambda design: (design.labels.tag_width_mm, design.labels.tag_height_mm)),
    "box": KindPrinted(box_labels, lambda design: (design.labels.box_width_mm, design.labels.box_height_mm)),
    "bundle": KindPrinted(bundle_labels, lambda design: (design.labels.box_width_mm, design.labels.box_height_mm)),
    "bag": KindPrinted(bag_labels, lambda design: (design.labels.box_width_mm, design.labels.box_height_mm)),
}

NOTHING: dict[LabelKind, str] = {
    "part": "name other parts", "wrap": "strips are for struts, so name struts", "tag": "name other parts",
    "hub-round": "these labels are for hubs, so name hubs", "hub-hex": "these labels are for hubs, so name hubs",
    "box": "it has no spares, so name the parts in the box", "bundle": "bundles are of struts, so name struts",
    "bag": "bags are of hubs made for a place, so name such hubs",
}
"""Why there may be nothing to print, and what to do."""
