"""Pushes that pegs end before arms and tubes can: what is told of them, and what pinned feet must bear for it."""

from dataclasses import dataclass

import numpy as np

from fieldapp.statics.feet.at_once import least_at_once, of_strength, strengths_at_once, three_of
from fieldapp.statics.feet.pegs_held import pegs_under_pushes
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.under_weight import FeetStanding
from fieldapp.statics.governs import PUSH, Limit
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import TubeCapacity


@dataclass(frozen=True, slots=True)
class PegsFirst:
    """A push that pegs or collapse end."""

    told: FeetBound
    pinned_n: float
    """What the stage must bear of it on pinned feet for this to be told."""


def pegs_first(stands: FeetStanding, tubes: TubeCapacity, unit: Response) -> tuple[PegsFirst | None, ...]:
    """What `pushes_at_once` tells at h places, without what pinned feet bear of it; None where that may matter.

    Source: (G7), (G9). Test: tests/statics/feet/test_at_once.py

    Parameters
    ----------
    stands : FeetStanding
        The feet under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    unit : Response
        3 h cases: 1 N along x, y, z at each place, with the factor of pushes.
    """
    feet, count = stands.starts.feet, len(unit.arms) // 3
    if not feet.on.is_pegged or stands.slides_apart or not stands.starts.states.settled.all():
        return (None,) * count
    pegs = [pegs_under_pushes(feet, three_of(unit, at)) for at in range(count)]
    ends = [at for at, peg in enumerate(pegs) if 0 < peg.value < np.inf]
    asked = [Limit(PUSH, pegs[at].value / of_strength(stands)) for at in ends]
    if not ends:
        return (None,) * count
    rows = (3 * np.array(ends)[:, None] + np.arange(3)).ravel()
    some = Response(unit.stage, unit.displacements[rows], unit.arms[rows], unit.load.cases(rows))
    borne = strengths_at_once(stands, tubes, asked, some)
    found: list[PegsFirst | None] = [None] * count
    for at, pinned, strength in zip(ends, asked, borne, strict=True):
        if strength.governs is None:  # no way to stand ends it before
            told = least_at_once(feet, three_of(unit, at), FeetBound(np.inf))
            found[at] = PegsFirst(told, pinned.value) if told.settled else None
    return tuple(found)
