"""The verdict: the one answer to "may this go in, come out, be leaned on, be left", as a record."""

from dataclasses import dataclass, field
from typing import Literal

from fieldapp.base.said import Said
from fieldapp.plan.pegs import HeldFoot
from fieldapp.reports.raising.lifts import LiftOrder
from fieldapp.reports.standing import Hold, Standing
from fieldapp.statics.governs import Governs, Limit

Sign = Literal["now", "unknown", "waits", "stop", "fitted", "empty", "spare"]
"""What is shown beside a name; `now` alone is green; `unknown`: its turn has come, and nobody knows whether the parts
bear it, since none was tested."""
Act = Literal["", "in", "out"]
Need = Literal["stopped", "wind", "not begun", "clear", "exchange", "fill", "replace", "find", "peg", "take out",
               "not so"]
"""What comes first: building goes on, or there is less wind; the raise is started; clear the frame; end the exchange
that runs; fill a place; replace the part that sits there; find another part for it; peg feet; take out what rests on
it; nothing makes it safe, see `Verdict.way_out`."""


@dataclass(frozen=True, slots=True)
class First:
    """One thing that must be done before."""

    need: Need
    places: tuple[str, ...]
    """In the order in which they are done."""
    feet: tuple[HeldFoot, ...] = ()
    """For pegs: what each must hold."""
    below: bool = False
    """True where something stands on that place already: then it comes before anything else, for everybody."""


@dataclass(frozen=True, slots=True)
class Hands:
    """Who holds or carries what. Pegs that come before are in `Verdict.first`."""

    before: tuple[Hold, ...] = ()
    """Hubs that stand and must be held before anything is put in or loosened."""
    keep: tuple[Hold, ...] = ()
    """Hubs that are held now and stay so."""
    in_hand: tuple[str, ...] = ()
    """Meanwhile: hubs kept in hand, struts whose free end is held."""
    after: tuple[Hold, ...] = ()
    """Hubs to hold once it is in, or out."""
    let_go: tuple[str, ...] = ()
    """Hubs that may be let go then."""
    carry: tuple[str, ...] = ()
    """Hubs at which the piece is carried."""

    @property
    def busy(self) -> tuple[str, ...]:
        """All hubs that hands or props keep while it is done."""
        return tuple(dict.fromkeys(hold.hub for hold in (*self.before, *self.keep, *self.after)))


@dataclass(frozen=True, slots=True)
class WayOut:
    """How a stage that stands is reached, where nothing may go in or come out."""

    act: Act
    """`in` or `out`; empty: nobody knows any, and the frame is cleared."""
    places: tuple[str, ...] = ()
    hold: tuple[Hold, ...] = ()
    """Hubs to hold or prop before."""
    step: int = 0
    """The step that is taken back; 0 if none is."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One answer, as the log has it. Words: `wording.verdict`."""

    about: str
    """Place, printed ID, or "H23 + S030" for a pair; the step's hub for a step; empty for the stage."""
    number: int
    """Number of the last entry that it knows: older than the log, it is worth nothing any more."""
    sign: Sign
    act: Act = ""
    """What it says that may, or may not yet, be done; empty: nothing is to be done with it."""
    places: tuple[str, ...] = ()
    """The places that the act fills or empties, in the order in which that is done."""
    first: tuple[First, ...] = ()
    """What comes first, in this order; empty if it may be done now."""
    hands: Hands = field(default_factory=Hands)
    lift: LiftOrder | None = None
    """The lift that goes before it, if one is due."""
    now: Standing = field(default_factory=Standing, repr=False)
    """What stands."""
    after: Standing | None = field(default=None, repr=False)
    """What stands once it is done; None where something comes first, which changes it."""
    way_out: tuple[WayOut, ...] = ()
    """Where nothing at all is green: how to get to a stage that stands."""
    remarks: tuple[Said, ...] = ()
    """What is known of the part: open defects, newest last."""

    @property
    def may(self) -> bool:
        """True if its turn has come, and nothing comes first; green only where the sign is `now`."""
        return self.sign in ("now", "unknown")

    @property
    def leans(self) -> tuple[Limit, ...]:
        """What may be leaned on once it is done, and how hard; nothing where only its weight was judged."""
        return (self.after or self.now).limits

    @property
    def governs(self) -> Governs | None:
        """What gives way first under the weight of what stands then; None where nobody has tested it."""
        if self.sign == "unknown":
            return None
        return (self.after or self.now).bears.governs

    @property
    def below(self) -> tuple[str, ...]:
        """Places that are missing or damaged below: the headline of everybody."""
        return tuple(place for one in self.first if one.below for place in one.places)

    @property
    def waits_for(self) -> tuple[str, ...]:
        """All places that come first, in order."""
        return tuple(dict.fromkeys(place for one in self.first for place in one.places))
