"""From the answers of a design to what the feet of a stage stand on, and what holds some of them."""

from collections.abc import Collection, Sequence

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
        together; where the design gives none it counts for nothing.
    """
    here = [foot for foot in feet if foot in held]
    return footing(
        feet, friction=ground.foot_friction, most_sideways_n=ground.most_sideways_n,
        peg_up_n=dict.fromkeys(here, ground.per_foot * ground.peg_up_n),
        peg_side_n=dict.fromkeys(here, ground.per_foot * ground.peg_sideways_n),
        ballast_n=dict.fromkeys(here, ground.ballast_n))
