"""The kit around the pieces: which gets which ID, which are spares, what is to be made, what is foreign."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fieldapp.adopt.marks import Carried, carried
from fieldapp.adopt.pieces import OldPiece, sorted_pieces
from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.identify.heap import MeasuredHeap
from fieldapp.kit import check_stock, kit_of
from fieldapp.kit.kit import Kit, Part, PartKind
from fieldapp.kit.parts import new_part, next_number, place_parts
from labels.fonts import missing_characters


@dataclass(frozen=True, slots=True)
class Adopted:
    """One piece that has an ID now."""

    part: str
    piece: OldPiece
    carried: Carried


@dataclass(frozen=True, slots=True, eq=False)
class Adoption:
    """What a heap is as a kit."""

    kit: Kit
    adopted: tuple[Adopted, ...]
    foreign: tuple[OldPiece, ...]
    """Pieces of no class of this frame."""
    to_make: tuple[Part, ...]
    """Parts of places for which there is no piece."""


def adoption(heap: MeasuredHeap, design: Design, *, same_marks: bool = False) -> Adoption:
    """The kit of a design around the pieces of a heap.

    Source: (A1). Test: tests/adopt/test_adoption.py

    Raises
    ------
    DesignError
        If the design takes a strength of these parts for known, or cannot be built.
    FrameError
        If something about the pieces is to be asked first; see `pieces` and `marks`.
    """
    refuse_known_strength(design)
    frame = build_frame(design)
    check_stock(design, frame)
    pieces = sorted_pieces(heap, design, frame)
    own = [piece for piece in pieces if piece.part_class]
    parts = list(_parts(own, design, frame))
    bare = kit_of(design, frame, (*place_parts(design, frame),
                                  *(part for part in parts if part.made_for is None)))
    marks = carried(own, bare, same_marks=same_marks)
    said = {part.id: each for part, each in zip(parts, marks, strict=True)}
    kit = kit_of(design, frame, (replace(part, alias=_printed(said[part.id].alias), own_mark=said[part.id].own)
                                 if part.id in said else part for part in bare.parts))
    adopted = tuple(Adopted(part.id, piece, each) for part, piece, each in zip(parts, own, marks, strict=True))
    return Adoption(kit, adopted, tuple(piece for piece in pieces if not piece.part_class),
                    tuple(part for part in kit.parts if part.id not in said))


def refuse_known_strength(design: Design) -> None:
    """DesignError where the design says that it is known what these parts bear, or has struts of several sections."""
    if design.struts:
        raise DesignError(f"design.toml has {len(design.struts) + 1} sections of struts; a list of lengths does not "
                          f"say which piece is how thick, so allowed is one. Adopt a frame whose struts are all of "
                          f"[strut].")
    known = [f"strength.{name}" for name in ("struts", "hubs") if getattr(design.strength, name) == "known"]
    if known:
        say_so = "say" if len(known) > 1 else "says"
        raise DesignError(f"design.toml: {' and '.join(known)} {say_so} \"known\", but nobody made these parts for "
                          f"this kit; allowed is \"unknown\". Write that; once break tests stand in the design "
                          f"(hub.test_loads_n, strength.strut_loads_n), their values count.")


def _parts(pieces: Sequence[OldPiece], design: Design, frame: Frame) -> Iterator[Part]:
    """The part that each piece is: of the next place of its class, or a spare."""
    placed = place_parts(design, frame)
    free: dict[tuple[PartKind, str], list[Part]] = {}
    for part in placed:
        free.setdefault((part.kind, part.part_class), []).append(part)
    spares: list[Part] = []
    for piece in pieces:
        own = free[piece.kind, piece.part_class]
        if own and not piece.spare:
            yield own.pop(0)
        else:
            number = next_number(frame, piece.kind, (*placed, *spares))
            spares.append(new_part(design, frame, piece.kind, number=number, part_class=piece.part_class))
            yield spares[-1]


def _printed(alias: str) -> str:
    """As the font can print it."""
    return "".join("?" if missing_characters(letter) else letter for letter in alias)
