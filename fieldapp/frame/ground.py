"""[ground] of the design file: what the frame stands on, and what holds its feet."""

import math
from typing import Literal

from fieldapp.base.ground import COHESION_SHARE, GROUNDS, Ground, GroundName, peg_hold_n
from fieldapp.base.units import newton_from_kg
from fieldapp.frame.questions import ON_ONE_LINE, DesignSection, HubName, PositiveNumber, ask

HowHeld = Literal["nothing", "pegs", "ballast", "screwed anchors"]


class GroundSection(DesignSection):
    """[ground]: friction, and what is driven, screwed or laid down at the feet."""

    stands_on: GroundName = ask(
        "grass", "What does it stand on?", "Choose the nearest; your own friction goes below it.")
    wet: bool = ask(
        True, "May it get wet? Wet grass is slippery, and soaked ground lets pegs go.",
        "Keep true for anything outdoors.")
    friction: float | None = ask(
        None, "Own values beat the table. Friction of a foot on this ground: force that drags a hub with a known load "
        "on it ÷ that load, wet if it may get wet", "Leave the line out to use the table.", example=0.3,
        ge=0.0, le=1.0)
    cohesion_kpa: float | None = ask(
        None, "On clay: cohesion that holds a foot sideways [kPa, that is kN/m²]",
        "Leave the line out to use the table.",
        example=6.2, ge=0.0, le=100.0)
    foot_area_cm2: float = ask(
        0.0, "On clay: on what area does a foot stand? 0 if you do not know: then nothing is counted [cm²]",
        "Measure the pad under a ground hub.", ge=0.0, le=10000.0)
    source: str | None = ask(
        None, "Where do your own values of friction and cohesion come from?", "Write who measured or published them.",
        example="dragged on wet grass, 3 May", min_length=1, max_length=120, pattern=ON_ONE_LINE)
    gives_n_mm: float | None = ask(
        None, "How stiff is the ground under a foot: weight on it ÷ how far that sinks in [N/mm]? Firm ground of 1000 "
        "and soft ground of 100 are computed in any case, yours beside them, and the worst counts.",
        "Leave the line out unless you tried it with a known weight.", example=300.0, ge=10.0, le=100000.0)
    held_by: HowHeld = ask(
        "nothing", "What holds the feet?", "Say what you bring; how much it must hold is computed and printed.")
    which_feet: tuple[HubName, ...] = ask(
        (), "Which feet are held? Leave the line out: every foot that needs it",
        "List hub places on the ground, for example [\"H01\"].", example=["H01", "H04"])
    per_foot: int = ask(1, "How many pegs, anchors or weights at a foot?", "Count them.", ge=1, le=20)
    pull_test_up_n: tuple[PositiveNumber, ...] = ask(
        (), "Pull tests of your own pegs or anchors, each by itself, on this ground: at which pull straight up did "
        "each begin to move? [N] (10 kg on a spring scale is 98 N). Half of the lowest counts. Without a test a peg "
        "counts for nothing.", "List one number above zero for each that you pulled, for example [620, 480].",
        example=[620, 480])
    pull_test_sideways_n: tuple[PositiveNumber, ...] = ask(
        (), "… and at which pull sideways, at the height where the foot is tied? [N]",
        "List one number above zero for each that you pulled, for example [700, 560].", example=[700, 560])
    pull_test_wet: bool = ask(
        False, "Was the ground wet through when you pulled? If not, and it may get wet, only half counts.",
        "Write true or false.")
    pull_test_note: str | None = ask(
        None, "When was it pulled, by whom, with what?", "Write it as you want to read it on paper.",
        example="3 May, carpenter 1, spring scale", min_length=1, max_length=120, pattern=ON_ONE_LINE)
    holds_up_n: float | None = ask(
        None, "A value for one peg or anchor from a maker's sheet or an engineer, for this ground, instead of pull "
        "tests: safe pull straight up [N]", "Leave the line out unless you have it in writing; a pull test beats it.",
        example=400.0, ge=0.0, le=100000.0)
    holds_sideways_n: float | None = ask(
        None, "… and safe pull sideways [N]", "Leave the line out unless you have it in writing.",
        example=500.0, ge=0.0, le=100000.0)
    holds_source: str | None = ask(
        None, "Where does that value come from?", "Name the sheet or the engineer.", example="sheet of the maker",
        min_length=1, max_length=120, pattern=ON_ONE_LINE)
    ballast_kg: float | None = ask(
        None, "How heavy is one weight of the ballast? [kg]", "Weigh one; water cans weigh 1 kg a litre.",
        example=20.0, gt=0.0, le=5000.0)

    @property
    def table(self) -> Ground:
        """What is known of this kind of ground."""
        return GROUNDS[self.stands_on]

    @property
    def foot_friction(self) -> float:
        """Sideways hold of a foot ÷ what presses it down: the own value, else the table's; on clay its share [1]."""
        if self.friction is not None:
            return self.friction
        if self.clings:
            return COHESION_SHARE
        return self.table.friction_wet if self.wet else self.table.friction_dry

    @property
    def most_sideways_n(self) -> float:
        """More than this a foot never holds sideways: cohesion on its area; infinite where friction is known [N]."""
        return self.table.cohesion_n(self.foot_area_cm2, self.cohesion_kpa) if self.clings else math.inf

    @property
    def clings(self) -> bool:
        """True where cohesion counts, not friction."""
        return self.table.cohesion_kpa > 0.0 and self.friction is None

    @property
    def peg_up_n(self) -> float:
        """What one peg or anchor holds straight up: by pull test, else as written down, else nothing [N]."""
        return self._holds_n(self.pull_test_up_n, self.holds_up_n)

    @property
    def peg_sideways_n(self) -> float:
        """What one peg or anchor holds sideways, likewise [N]."""
        return self._holds_n(self.pull_test_sideways_n, self.holds_sideways_n)

    @property
    def ballast_n(self) -> float:
        """Weight of all ballast on one foot [N]; 0 if there is none."""
        return newton_from_kg(self.per_foot * self.ballast_kg) if self.ballast_kg else 0.0

    def _holds_n(self, pulls_n: tuple[float, ...], written_n: float | None) -> float:
        if pulls_n:
            return peg_hold_n(pulls_n, pulled_wet=self.pull_test_wet, wet=self.wet)
        return written_n or 0.0
