"""The list of what became what: every piece of the heap with its new ID, and every part that is to be made."""

from collections.abc import Iterator

from fieldapp.adopt.adoption import Adoption
from fieldapp.adopt.pieces import OldPiece
from fieldapp.base.csv_text import Cells, csv_text

TABLE = "tables/adopted.csv"
HEADS = ("row", "kind", "mark", "paint", "code", "measured_mm", "is", "part", "class", "made_for", "cut_length_mm",
         "may_be_class", "label")


def adopted_table(found: Adoption) -> str:
    """As CSV: adopted pieces, foreign ones, parts to be made."""
    return csv_text(HEADS, _rows(found))


def _rows(found: Adoption) -> Iterator[Cells]:
    for one in found.adopted:
        part = found.kit.part(one.part)
        yield (*_of_piece(one.piece), "spare" if part.is_spare else "adopted", part.id, part.part_class,
               part.made_for or "", _length(part.cut_length_mm), " ".join(one.piece.also),
               "its own mark" if part.own_mark else "print")
    for piece in found.foreign:
        yield (*_of_piece(piece), "foreign", "", "", "", "", "", "none")
    for part in found.to_make:
        yield ("", part.kind, "", "", "", "", "to be made", part.id, part.part_class, part.made_for or "",
               _length(part.cut_length_mm), "", "print")


def _of_piece(piece: OldPiece) -> Cells:
    row = piece.row
    length_mm = getattr(row, "length_mm", None)
    return row.where, piece.kind, row.mark, row.paint, row.code, _length(length_mm)


def _length(mm: float | None) -> str:
    return "" if mm is None else f"{mm:.1f}"
