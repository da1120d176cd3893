"""Stickers for parts that changed their place: they cover the old label."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.kit.kit import Kit, Part
from fieldapp.prints import in_kit_language
from fieldapp.prints.sheets.labels import (
    arm_tags,
    chosen_parts,
    hub_label,
    part_labels,
    print_options,
    printable,
    sheet_stock,
    strut_label,
    write_sheets,
)
from labels.label import Label, Tag
from labels.pieces import Warned
from labels.sheet import lay_out_sheets


@dataclass(frozen=True, slots=True)
class NewPlace:
    """A part and the place that it takes from now on."""

    part_id: str
    """As printed."""
    place: str
    arms: tuple[int, ...] = ()
    """Hubs: for arm 1, 2 … as the hub is marked now, the number of the arm that it becomes, as
    `kit.interchange.hub_turns` answers; empty for a spare, which carries no numbers yet."""


@in_kit_language
def write_new_places(kit: Kit, path: Path, moves: Sequence[NewPlace], *, start: int = 1) -> tuple[Warned, ...]:
    """Write the stickers as PDF, on the label sheets of the design.

    Parameters
    ----------
    kit : Kit
        With parts made later, if they move.
    path : Path
    moves : sequence of NewPlace
    start : int
        First free position of the first sheet, counted from 1 along the rows.

    Returns
    -------
    tuple of Warned
        What did not fit, by label.

    Raises
    ------
    PartIdError
        If a part is not of this kit.
    PaperError
        If a part does not go to that place, or the labels do not fit the paper.
    """
    labels = [label for move in moves for label in new_place_labels(kit, move)]
    return _write(kit, path, labels, start=start, title=_("{name}: new places"))


@in_kit_language
def write_labels_now(kit: Kit, path: Path, part_ids: Sequence[str], moves: Sequence[NewPlace], *, start: int = 1
                     ) -> tuple[Warned, ...]:
    """Write labels of these parts again: of those that moved with their new place, of all others as they were.

    Parameters and errors as `label_kinds.write_kind` and `write_new_places`.
    """
    return _write(kit, path, list(_labels_now(kit, part_ids, moves)), start=start, title=_("{name}: labels"))


def _labels_now(kit: Kit, part_ids: Sequence[str], moves: Sequence[NewPlace]) -> Iterator[Label]:
    moved = {move.part_id: move for move in moves}
    for part, end in chosen_parts(kit, part_ids):
        if part.id in moved:
            own = tuple(new_place_labels(kit, moved[part.id]))
            yield from own if end is None else own[end - 1:end]
        else:
            yield from part_labels(kit, [part.id if end is None else f"{part.id}.{end}"])


def _write(kit: Kit, path: Path, labels: Sequence[Label], *, start: int, title: str) -> tuple[Warned, ...]:
    with printable():
        stock = sheet_stock(kit.design)
        sheets = lay_out_sheets(tuple(labels), stock, print_options(kit.design, start))
    return write_sheets(kit, path, sheets, stock, title=title)


def new_place_labels(kit: Kit, move: NewPlace) -> Iterator[Label]:
    """The labels of a part as if made for its new place; raises as `write_new_places`."""
    part = kit.part(move.part_id)
    _check(kit, part, move)
    moved = replace(part, made_for=move.place)
    words = _("new place {place}").format(place=move.place)
    if part.kind == "strut":
        for end in (1, 2):
            label = strut_label(kit, moved, end)
            yield replace(label, lines=(words, *label.lines), name=f"{label.name}, {words}")
        return
    label = hub_label(kit, moved)
    yield replace(label, lines=(words, *_turn_words(move), *label.lines), name=f"{part.id}, {words}")
    yield _arm_tags(kit, moved, move)


def _check(kit: Kit, part: Part, move: NewPlace) -> None:
    """The place exists, takes the part's kind and class, and the arms are all of its arms."""
    index = kit.frame.hub_index if part.kind == "hub" else kit.frame.strut_index
    if move.place not in index:
        raise PaperError(f"{part.id} is a {part.kind}; {move.place} is no {part.kind} place of this frame. "
                         f"Name one from {next(iter(index))} to {list(index)[-1]}.")
    wanted = kit.by_place[move.place].part_class
    if part.part_class != wanted:
        raise PaperError(f"{part.id} is of class {part.part_class}; {move.place} takes class {wanted}. "
                         f"Choose a part of class {wanted}.")
    count = len(kit.frame.hub(move.place).arms) if part.kind == "hub" else 0
    if move.arms and sorted(move.arms) != list(range(1, count + 1)):
        raise PaperError(f"the arms of {part.id} at {move.place} must be the numbers 1 to {count}, each once, got "
                         f"{', '.join(map(str, move.arms))}. Look up how the hub is turned, and give its arms again.")


def _turn_words(move: NewPlace) -> tuple[str, ...]:
    """What a hub's first arm becomes, if its arms change their numbers."""
    if not move.arms or move.arms == tuple(sorted(move.arms)):
        return ()
    return (_("old arm 1 is now arm {arm}").format(arm=move.arms[0]),)


def _arm_tags(kit: Kit, moved: Part, move: NewPlace) -> Label:
    """Tags in the order in which the hub's arms are marked now, each with its new number."""
    label = arm_tags(kit.frame.hub(move.place), moved)
    tags = label.tags
    if move.arms:
        tags = tuple(_renumbered(tags[new - 1], old) for old, new in enumerate(move.arms, start=1))
    return replace(label, tags=tags, name=_("{label}, new place {place}").format(label=label.name, place=move.place))


def _renumbered(tag: Tag, old: int) -> Tag:
    """A tag that also says which number it covers."""
    if str(old) == tag.headline:
        return tag
    return replace(tag, small=_("{tag}, was arm {old}").format(tag=tag.small, old=old))
