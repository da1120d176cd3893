"""From the answers of a design to what the feet of a stage stand on, and what holds some of them."""

import math
from collections.abc import Collection, Sequence
from dataclasses import replace

from fieldapp.base.constants import GAMMA_G_HOLDING
from fieldapp.frame.ground import GroundSection
from fieldapp.statics.feet.footing import Footing, footing


def footing_of(ground: GroundSection, feet: Sequence[str], held: Collection[str] = ()) -> Footing:
    """The footing of these hub places, with pegs, anchors or ballast at those of `held`.

    Parameters
    ----------
    ground : GroundSection
        What the maker answered: friction, and what one peg or weight is worth.
    feet : sequence of str
        Hubs on the ground.
    held : collection of str
        Those that are held now. What holds them counts by the design's pull tests or values, several at a foot
        together; where the design gives none it counts for nothing. Ballast counts 0.9 times, as all whose weight alone
        keeps a thing.
    """
    here = [foot for foot in feet if foot in held]
    found = footing(
        feet, friction=ground.foot_friction, most_sideways_n=ground.most_sideways_n,
        peg_up_n=dict.fromkeys(here, ground.per_foot * ground.peg_up_n),
        peg_side_n=dict.fromkeys(here, ground.per_foot * ground.peg_sideways_n),
        ballast_n=dict.fromkeys(here, GAMMA_G_HOLDING * ground.ballast_n))
    if ground.gives_n_mm is None:
        return found
    return replace(found, stiffnesses_n_mm=tuple(dict.fromkeys((*found.stiffnesses_n_mm, ground.gives_n_mm))))


def can_hold(ground: GroundSection) -> bool:
    """True if what holds feet, as the design has it, counts for anything."""
    return max(ground.peg_up_n, ground.peg_sideways_n, ground.ballast_n) > 0.0


def ballast_needed_n(ground: GroundSection, up_n: float, sideways_n: float) -> float:
    """Weight to lay on a foot so that it neither lifts nor slides [N]; infinite where it slides whatever it weighs.

    (up + sideways / µ) / 0.9: what is left of the weight after the pull must grip; where the weight alone keeps the
    foot it counts with the smaller factor. On clay the ground takes no more than its cohesion on the foot's area.

    Source: (P19). Test: tests/plan/test_pegging.py

    Examples
    --------
    >>> round(ballast_needed_n(GroundSection(stands_on="gravel"), 60.0, 35.0), 1)
    177.8
    """
    if sideways_n <= 0.0:
        return up_n / GAMMA_G_HOLDING
    if ground.foot_friction <= 0.0 or sideways_n > ground.most_sideways_n:
        return math.inf
    return (up_n + sideways_n / ground.foot_friction) / GAMMA_G_HOLDING
