"""What this room answers: forces of feet, and bounds that say what gives way."""

from dataclasses import dataclass

from fieldapp.statics.governs import UNKNOWN, Governs, Limit


@dataclass(frozen=True, slots=True)
class FeetBound:
    """How far one load may grow on these feet, and what gives way there."""

    value: float
    """In the unit of the load (N, mm, m/s), design value; infinite where nothing gives way."""
    governs: Governs | None = None
    """None where nothing gives way; its `taken` tells how the feet were taken."""
    settled: bool = True
    """False: the computation did not settle, the value is not to be told."""
    lifts: tuple[str, ...] = ()
    """Feet off the ground at this load: told, no limit by itself."""
    slips: tuple[str, ...] = ()
    """Feet that slipped on the way."""
    from_deg: float | None = None
    """Of wind: where it comes from; 0 is the front mark, clockwise seen from above."""

    @property
    def counts(self) -> float:
        """What a verdict may count on: 0 if it did not settle."""
        return self.value if self.settled else 0.0

    def limit(self, kind: str, at: str = "") -> Limit:
        """The same as a limit: 0, cause unknown, if it did not settle."""
        return Limit(kind, self.counts, at, self.governs if self.settled else Governs(UNKNOWN))


@dataclass(frozen=True, slots=True)
class FootForces:
    """What one foot does to the ground under one load, characteristic. [N]"""

    foot: str
    press_n: float
    """Down on the ground; 0 if it hangs free or is pulled."""
    pull_n: float
    """Up, away from the ground: what a peg must hold; 0 if it presses."""
    sideways_n: float
    """Along the ground."""
    towards_deg: float = 0.0
    """Where the foot pushes the ground: 0 from the front mark to the back, clockwise seen from above."""
    lifts: bool = False
    """It would leave the ground if nothing held it."""
    slips: bool = False
    """It would slide if nothing but friction held it."""


@dataclass(frozen=True, slots=True)
class FootDemand:
    """The largest forces of one foot at one stage, and what its peg must hold. [N]"""

    stage: str
    foot: str
    press_n: float
    pull_n: float
    sideways_n: float
    under: str
    """The load that asks most of a peg: "weight" or "wind"."""
    from_deg: float | None
    """Where that wind comes from; None under weight."""
    lifts: bool
    """Off the ground if nothing holds it, under own weight."""
    slips: bool
    """Slides if nothing but friction holds it, under own weight."""
    must_hold_up_n: float
    """Design value of the pull on a peg: 0 where it needs none."""
    must_hold_side_n: float
    """Design value of the sideways force on a peg; friction is not counted on at a foot that is pegged."""
