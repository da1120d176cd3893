"""Stickers for parts that changed their place, which cover the old label; and labels for the places of now."""

import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fieldapp.base.errors import PaperError
from fieldapp.base.words import _
from fieldapp.kit import with_parts
from fieldapp.kit.interchange import Turn, hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.log.state import State
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
from fieldapp.reports.readiness.outfit import Sticker
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


def stickers_pdf(kit: Kit, state: State, stickers: Iterable[Sticker], *, start: int = 1) -> bytes:
    """The "new place" stickers on the label sheets of the design; raises PaperError if they do not fit it."""
    whole = _whole(kit, state)
    moves = [NewPlace(one.part, one.place, _arms(state, one)) for one in stickers]
    return _written(lambda path: write_new_places(whole, path, moves, start=start))


def moved_parts(state: State) -> tuple[NewPlace, ...]:
    """Parts that were given another place and may still carry the labels of the old one, by place."""
    found = []
    for place, part_id in sorted(state.allocation.items()):
        part, wanted = state.part(part_id), state.kit.by_place[place].part_class
        if part.made_for != place and part.part_class == wanted:
            turns = hub_turns(state.kit, part, place) if part.kind == "hub" and not part.is_spare else ()
            found.append(NewPlace(part_id, place, _numbers(turns[0]) if turns else ()))
    return tuple(found)


def moved_pdf(kit: Kit, state: State, *, start: int = 1) -> bytes:
    """The "new place" stickers of parts that were moved already; raises PaperError if they do not fit the sheet."""
    whole = _whole(kit, state)
    return _written(lambda path: write_new_places(whole, path, moved_parts(state), start=start))


def labels_pdf(kit: Kit, state: State, parts: Sequence[str], *, start: int = 1) -> bytes:
    """New labels of parts, or ends of struts, for the places they have now; PaperError if they do not fit the sheet."""
    whole = _whole(kit, state)
    return _written(lambda path: write_labels_now(whole, path, parts, moved_parts(state), start=start))


def _arms(state: State, one: Sticker) -> tuple[int, ...]:
    """For arm 1, 2 … of the hub as it is marked, the arm of the place that it becomes; a spare has no marks yet."""
    return () if one.turn is None or state.part(one.part).is_spare else _numbers(one.turn)


def _numbers(turn: Turn) -> tuple[int, ...]:
    return tuple(at for _own, at in sorted(turn.arms))


def _whole(kit: Kit, state: State) -> Kit:
    made = tuple(state.made[key] for key in sorted(state.made))
    return with_parts(kit, made) if made else kit


def _written(write: Callable[[Path], object]) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.pdf"
        write(path)
        return path.read_bytes()
