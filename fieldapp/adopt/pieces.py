"""Which piece of a heap is of which class of the frame, by length or arms; what is left is spare or foreign."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import FrameError
from fieldapp.frame.design import Design
from fieldapp.frame.frame import FloatArray, Frame, HubClass
from fieldapp.identify.heap import HubPile, MeasuredHeap, MeasuredStruts
from fieldapp.kit.kit import PartKind
from fieldapp.kit.parts import cut_length_mm

PILE_LOOSE = 2.0
"""The pieces of a pile of which one was measured may be off so many times more than the reading [1].
Source: our choice, as `identify.fit.PILE_SPREAD`. Test: tests/adopt/test_adoption.py"""
NOWHERE = 1e6
"""Cost of a piece where it does not fit, far above any that does (in no formula)."""


@dataclass(frozen=True, slots=True)
class OldPiece:
    """One piece of the heap, and what it is in this frame."""

    row: MeasuredStruts | HubPile
    kind: PartKind
    part_class: str = ""
    """Class of the frame; empty: foreign, of none."""
    spare: bool = False
    """True if all places of its class have a piece."""
    also: tuple[str, ...] = ()
    """Other classes that it may be of: a tape does not part them."""

    @property
    def alone(self) -> bool:
        """True if its row in the list tells of it and of no other."""
        return self.row.count == 1

    @property
    def length_mm(self) -> float | None:
        """As it was measured by itself; None for hubs, and in a pile of which one was measured."""
        return self.row.length_mm if isinstance(self.row, MeasuredStruts) and self.alone else None


def sorted_pieces(heap: MeasuredHeap, design: Design, frame: Frame) -> tuple[OldPiece, ...]:
    """Every piece of the heap with its class, struts first, in the order of the list.

    Source: (A1). Test: tests/adopt/test_adoption.py

    Raises
    ------
    FrameError
        If hubs have as many arms as several classes, and nobody said which they are of: all such lines at once.
    """
    return (*_struts(heap, design, frame), *_hubs(heap, frame))


def _struts(heap: MeasuredHeap, design: Design, frame: Frame) -> Iterator[OldPiece]:
    """As many places filled as can be, by the least sum of squares of what lengths are off."""
    from scipy.optimize import linear_sum_assignment  # brings in scipy, which most commands do without

    rows = [row for row in heap.pieces for _ in range(row.count)]
    classes = frame.strut_classes
    cuts_mm = np.array([cut_length_mm(each.centre_length_mm, design) for each in classes])
    off = (np.array([row.length_mm for row in rows])[:, None] - cuts_mm) / _bounds_mm(rows, design)[:, None]
    fits = np.abs(off) <= 1.0
    slots = np.repeat(np.arange(len(classes)), [each.count for each in classes])
    cost = np.where(fits, off**2, NOWHERE)[:, slots]
    at, slot = linear_sum_assignment(np.hstack((cost, np.full((len(rows), len(rows)), 10.0))))
    placed = {int(i): int(slots[j]) for i, j in zip(at, slot, strict=True) if j < len(slots) and fits[i, slots[j]]}
    for number, row in enumerate(rows):
        may_be = [classes[k].letter for k in np.flatnonzero(fits[number])]
        if not may_be:
            yield OldPiece(row, "strut")
            continue
        own = classes[placed.get(number, int(np.abs(off[number]).argmin()))].letter
        yield OldPiece(row, "strut", own, number not in placed, tuple(name for name in may_be if name != own))


def _bounds_mm(rows: Sequence[MeasuredStruts], design: Design) -> FloatArray:
    """How far each may be from the length of its class: the tape, the pile, and what a strut may be off [mm]."""
    return np.array([row.plus_minus_mm * (PILE_LOOSE if row.count > 1 else 1.0) + design.strut.length_error_mm
                     + design.frame.tolerance_mm for row in rows])


def _hubs(heap: MeasuredHeap, frame: Frame) -> Iterator[OldPiece]:
    """By their arms, or by the class that somebody wrote down."""
    asked = [line for row in heap.hubs for line in _unclear(row, frame)]
    if asked:
        raise FrameError("\n".join(asked))
    left = Counter({each.name: each.count for each in frame.hub_classes})
    for row in heap.hubs:
        names = [each.name for each in _alike(row, frame) if row.hub_class in ("", each.name)]
        for _ in range(row.count):
            if not names:
                yield OldPiece(row, "hub")
                continue
            left[names[0]] -= 1
            yield OldPiece(row, "hub", names[0], left[names[0]] < 0)


def _alike(row: HubPile, frame: Frame) -> list[HubClass]:
    """Classes with so many arms."""
    return [each for each in frame.hub_classes if len(each.gaps_deg) == row.arms]


def _unclear(row: HubPile, frame: Frame) -> Iterator[str]:
    """What is asked of a row: a class that is none, or which of several it is."""
    names = [each.name for each in _alike(row, frame)]
    if row.hub_class and row.hub_class not in names:
        yield (f"{row.where}: hub_class is {row.hub_class}, but the classes with {row.arms} arms are "
               f"{', '.join(names) or 'none'}. Correct it, or leave it out.")
    elif not row.hub_class and len(names) > 1:
        yield (f"{row.where}: {row.count} hubs with {row.arms} arms, but this frame has {len(names)} classes of them, "
               f"{', '.join(names)}, and arms that are counted do not tell which. Hold each against a hub of the "
               f"drawing, give it a row of its own and write its class into the column hub_class; or, if these hubs "
               f"bend to all of these places, raise frame.tolerance_deg in the design.")
