"""Sheets for the printer beside the laptop: stickers for new places, labels that cannot be read any more."""

import tempfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from fieldapp.kit.build import with_parts
from fieldapp.kit.interchange import Turn, hub_turns
from fieldapp.kit.kit import Kit
from fieldapp.log.state import State
from fieldapp.prints.sheets.new_places import NewPlace, write_labels_now, write_new_places
from fieldapp.reports.readiness.outfit import Sticker


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
