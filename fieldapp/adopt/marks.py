"""What pieces carried before: which marks are one piece's own, which several share, and which cannot be kept."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fieldapp.adopt.pieces import OldPiece
from fieldapp.base.errors import FrameError
from fieldapp.kit.ids import parse_part_id
from fieldapp.kit.kit import Kit
from fieldapp.log.codes import checks_itself, code_key


@dataclass(frozen=True, slots=True)
class Carried:
    """What one piece carries."""

    codes: tuple[str, ...]
    """Opened by these when scanned or typed: its code, its mark, its paint."""
    alias: str
    """Printed beside its ID: mark and paint."""
    own: bool
    """True if one of its codes is on no other piece: it needs no label of ours."""


def carried(pieces: Sequence[OldPiece], kit: Kit, *, same_marks: bool) -> tuple[Carried, ...]:
    """What each piece carries, in their order.

    Parameters
    ----------
    pieces : sequence of OldPiece
    kit : Kit
        Whose IDs no mark may be taken for.
    same_marks : bool
        True if somebody looked: marks that stand in two rows are on two pieces.

    Raises
    ------
    FrameError
        All at once: a mark that reads as an ID of the kit, a code without a check digit that was not read twice alike,
        a mark or code in two rows that nobody was asked about.
    """
    faults = [*_read_as_ids(pieces, kit), *_not_twice(pieces), *(() if same_marks else _in_two_rows(pieces))]
    if faults:
        raise FrameError("\n".join(dict.fromkeys(faults)))
    seen = Counter(code_key(text) for piece in pieces for text in _own_texts(piece))
    return tuple(_carried(piece, seen) for piece in pieces)


def _carried(piece: OldPiece, seen: Counter[str]) -> Carried:
    row = piece.row
    texts = dict.fromkeys(text for text in (row.code, row.mark, row.paint) if code_key(text))
    own = any(seen[code_key(text)] == 1 for text in _own_texts(piece))
    return Carried(tuple(texts), ", ".join(text for text in (row.mark, row.paint) if text), own)


def _own_texts(piece: OldPiece) -> tuple[str, ...]:
    """Code and mark; paint is never one piece's own."""
    return tuple({code_key(text): text for text in (piece.row.code, piece.row.mark) if code_key(text)}.values())


def _read_as_ids(pieces: Iterable[OldPiece], kit: Kit) -> Iterable[str]:
    for piece in pieces:
        for name in ("code", "mark", "paint"):
            text = getattr(piece.row, name)
            if code_key(text) and parse_part_id(text, kit).found:
                yield (f"{piece.row.where}: {name} '{text[:40]}' reads as an ID of this kit, so whoever types it would "
                       f"get another part. Paint it over on the part and leave it out here, or choose another "
                       f"frame.prefix if it begins with this one.")


def _not_twice(pieces: Iterable[OldPiece]) -> Iterable[str]:
    for piece in pieces:
        row = piece.row
        if row.code and not checks_itself(row.code) and code_key(row.code) != code_key(row.code_again):
            yield (f"{row.where}: code '{row.code[:40]}' has no check digit, and code_again is "
                   f"'{row.code_again[:40]}'. Read it a second time and write it into code_again.")


def _in_two_rows(pieces: Iterable[OldPiece]) -> Iterable[str]:
    rows: dict[str, dict[str, str]] = {}
    for piece in pieces:
        for text in _own_texts(piece):
            rows.setdefault(code_key(text), {})[piece.row.where] = text
    for found in rows.values():
        if len(found) > 1:
            yield (f"'{next(iter(found.values()))[:40]}' stands in {len(found)} rows: {'; '.join(found)}. Look at "
                   f"these pieces. If each carries it, add --same-marks: scanning or typing it then asks which one it "
                   f"is; else correct the list.")
