"""A foot whose ground lies low, and hubs that are spread, on feet that press, rub, lift and are held."""

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.statics.feet.at_once import OF_STRENGTH, grown_on_feet, held_share
from fieldapp.statics.feet.records import FeetBound
from fieldapp.statics.feet.starts import CREPT, HANGS_MM, Starts, all_ways, starts_of
from fieldapp.statics.feet.strength import answers, cases_of
from fieldapp.statics.feet.under_weight import FeetStanding, lasting_uses
from fieldapp.statics.governs import UNKNOWN, Governs, Limit
from fieldapp.statics.response import Response
from fieldapp.statics.tubes import TubeCapacity

_PARTS = (0.5, 0.25, 0.125)
"""Parts of what pinned feet bear at which a low foot is looked at where that is too much [1]. Source: our choice (G10).
Test: tests/statics/feet/test_low.py"""


def hangs_free(stands: FeetStanding, tubes: TubeCapacity) -> bool:
    """True if any one foot may hang free for as long as the frame stands, however the others stand: a foot whose ground
    lies low is pulled no farther than that.

    Source: (G10). Test: tests/statics/feet/test_low.py
    """
    feet = stands.starts.feet
    if stands.slides_apart or feet.count < 2:
        return False
    known = stands.starts.hanging >= 0
    if not (stands.starts.states.settled[known].all() and (stands.lasting.most[known] <= 1.0).all()):
        return False
    found = set(stands.starts.ways)
    ways = [way for way in all_ways(feet) if way[0] == GAMMA_G and way[3] >= 0 and way not in found]
    if not ways:
        return True
    starts = starts_of(feet, ways)
    if not starts.states.settled.all():
        return False
    lots = np.array_split(np.arange(len(ways)), -(-len(ways) * len(feet.of.stage.struts) // _AT_ONCE))
    return all(_lasts(starts.of(some), tubes) for some in lots)


_AT_ONCE = 16_000
"""Struts × ways of standing that are looked at together: what fits near the processor (in no formula)."""


def _lasts(starts: Starts, tubes: TubeCapacity) -> bool:
    """True if arms, tubes and pegs bear the weight in all of these ways for as long as the frame stands."""
    pinned = cases_of(starts.feet.of.weight, starts.weight_factor, np.zeros(len(starts.history), dtype=np.int64))
    return bool(lasting_uses(answers(starts.feet, pinned, starts.states), tubes, starts).most.max() <= 1.0)


def low_at_once(stands: FeetStanding, tubes: TubeCapacity, pinned: Limit) -> FeetBound:
    """How low the ground may lie under one foot, for as long as the frame stands. [mm]

    Source: (G10). Test: tests/statics/feet/test_low.py

    Parameters
    ----------
    stands : FeetStanding
        The feet under the weight.
    tubes : TubeCapacity
        What the tubes can take.
    pinned : Limit
        Of the same on pinned feet; nothing above is told.

    Returns
    -------
    FeetBound
        Infinite where nothing gives way up to that; else the largest part of it that was borne.
    """
    if not pinned.value > 0 or stands.slides_apart:
        return FeetBound(np.inf)
    far = min(pinned.value, HANGS_MM)
    use, governs = _low(stands, tubes, far)
    if use <= 1.0:
        return FeetBound(np.inf)
    for part in _PARTS:
        use, found = _low(stands, tubes, part * far)
        if use <= 1.0:
            return FeetBound(part * far, governs)
        governs = found
    return FeetBound(0.0, governs)


def _low(stands: FeetStanding, tubes: TubeCapacity, low_mm: float) -> tuple[float, Governs | None]:
    """The most used arm, tube or peg with any one foot so low; infinite where a state does not settle."""
    feet = stands.starts.feet
    ground = max(feet.on.stiffnesses_n_mm)
    ways = [(GAMMA_G, ground, CREPT, foot) for foot in range(feet.count)]
    starts = starts_of(feet, ways, low_mm=low_mm)
    wild = np.flatnonzero(~starts.states.settled)
    if len(wild):
        return np.inf, Governs(UNKNOWN, taken=starts.taken(int(wild[0])))
    pinned = cases_of(feet.of.weight, starts.weight_factor, np.zeros(len(ways), dtype=np.int64))
    uses = lasting_uses(answers(feet, pinned, starts.states), tubes, starts)
    at = int(uses.most.argmax())
    return float(uses.most[at]), uses.governs(feet, at, f"{starts.taken(at)} by {low_mm:.3g} mm")


def spread_at_once(stands: FeetStanding, tubes: TubeCapacity, pair: Response, pinned: tuple[float, Governs | None]
                   ) -> tuple[float, Governs | None]:
    """Largest pair of forces that spreads two hubs, on these feet, and what gives way: never more than on pinned ones.

    Two forces that cancel move no frame as a whole, so that friction and tipping do not end it.

    Source: (G10). Test: tests/statics/feet/test_low.py

    Parameters
    ----------
    pair : Response
        One case: 1 N on each of the two hubs, with its factor.
    pinned : (float, Governs or None)
        The pair of forces that arms and tubes bear on pinned feet [N], and what governs it.
    """
    most, governs = pinned
    if stands.slides_apart or not most > 0 or not np.isfinite(most):
        return pinned
    if not stands.starts.states.settled.all():
        return 0.0, Governs(UNKNOWN)
    growing = pair * most
    bent, by = grown_on_feet(stands, tubes, growing)
    parts = (bent if by is None else bent * OF_STRENGTH, by or governs)
    share, found = min(held_share(stands, growing), parts, key=lambda one: one[0])
    return most * share, found
