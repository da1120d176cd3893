"""The plan: steps in order, each one hub with the struts that tie it to what stands."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from fieldapp.base.errors import PlanError
from fieldapp.base.said import Said, Value
from fieldapp.plan.pegs import HeldFoot, Pegging, held_before
from fieldapp.statics.governs import Limit


@dataclass(frozen=True, slots=True)
class Insertion:
    """One strut of a step, in the order of insertion."""

    strut: str
    hub: str
    """The hub it is pushed onto first (the one that stands, or the new one)."""
    end: int
    arm: int
    closes: bool = False
    """True if both its hubs are already fixed, so that it needs play."""
    spreading_mm: float = 0.0
    """How far the two hubs must be spread to get it in [mm]."""
    spread_limit: Limit | None = None
    """How far they may be spread before an arm or tube reaches its design value [mm]; None if not computed."""

    @property
    def spread_limit_mm(self) -> float | None:
        """Its number; None if not computed."""
        return None if self.spread_limit is None else self.spread_limit.value


@dataclass(frozen=True, slots=True)
class Step:
    """The smallest piece of erection."""

    number: int
    hub: str
    level: int
    struts: tuple[Insertion, ...]
    waits_for: tuple[str, ...]
    """Hub places that must stand before."""
    holds: tuple[str, ...] = ()
    """Hub places somebody or a prop must hold once this step is in."""
    height_mm: float = 0.0
    """Working height above the ground [mm]."""
    reachable: bool = True
    stand_on: Value = ""
    """What to stand on, or that nothing is high enough; empty: nobody asked."""
    cautions: tuple[Said, ...] = ()
    """What can go wrong, the gravest first."""
    limits: tuple[Limit, ...] = ()
    """How hard its hub and the free ends of its struts may be pushed, and so on; see `plan.limits`."""
    piece: str = ""
    """Name of the piece it is built into while that is apart from the frame; empty for the frame itself."""
    stands_on: tuple[str, ...] = ()
    """Hub places that rest on the ground, or on props, once this step is in."""
    carried_at: tuple[str, ...] = ()
    """Hub places at which the piece is carried while this step is done."""
    lift_mm: float = 0.0
    """How far the piece is lifted before this step [mm]."""
    joins: bool = False
    """True if the hub is built into a piece already and this step ties it to the frame."""
    use_weight: float | None = None
    """Largest arm utilisation once this step is in, own weight; None if not computed."""
    lean_n: float = 0.0
    """With what force somebody might push by mistake, as the design says [N]."""
    joints_tested: bool = False
    """Whether the design has pull tests of joints; without them no limit knows what pulls one apart."""
    strength_tested: bool = True
    """False where nobody has tested what the parts bear: then uses are those of the nearest material, told to none."""

    @property
    def places(self) -> tuple[str, ...]:
        """The places that it fills: its hub, then its struts; a step that ties a piece on fills struts only."""
        struts = tuple(insertion.strut for insertion in self.struts)
        return struts if self.joins else (self.hub, *struts)

    @property
    def sequence(self) -> tuple[str, ...]:
        """The same as hands work, backwards at the strike: struts that hang, the hub onto them, what closes."""
        hanging = [item.strut for item in self.struts if not (self.joins or item.closes or item.hub == self.hub)]
        return (*hanging, *(place for place in self.places if place not in hanging))

    def limits_of(self, kind: str) -> tuple[Limit, ...]:
        """Those of one kind; none if they were not computed."""
        return tuple(limit for limit in self.limits if limit.kind == kind)


@dataclass(frozen=True, slots=True)
class Plan:
    """One way of raising, step by step."""

    way: str
    steps: tuple[Step, ...]
    step_of: dict[str, int] = field(repr=False, compare=False)
    """Place (hub or strut) → index into `steps`. Places left out have none."""
    left_out: tuple[str, ...] = ()
    """Places that are not filled: the doorway, a top hub out of reach."""
    peggings: tuple[Pegging, ...] = ()
    """Feet to hold, in the order of the steps that wait for them; none if nobody worked out what feet do."""
    breaks: Said | None = None
    """What gives way in it, as its verdict says, where it is computed to break; None if nothing is."""
    helps: Said | None = None
    """What would help then."""

    def held_before(self, number: int) -> tuple[HeldFoot, ...]:
        """Feet that are to be held before a step goes in."""
        return held_before(self.peggings, number)

    def step_for(self, place: str) -> Step:
        """The step in which `place` is filled; PlanError if it is left out."""
        try:
            return self.steps[self.step_of[place]]
        except KeyError:
            raise PlanError(f"place {place} is in no step of the way '{self.way}'") from None

    def waits_for(self, place: str) -> tuple[str, ...]:
        """Places that must be filled before `place` may go in: those its step rests on, and mostly its own hub.

        A strut that hangs on a standing hub until its upper hub comes may go in before that hub, and after it.
        """
        step = self.step_for(place)
        own = () if place == step.hub or self.hangs_first(place) else (step.hub,)
        return tuple(dict.fromkeys((*step.waits_for, *own, *self._ties_of(step))))

    def rests_on(self, place: str) -> tuple[str, ...]:
        """Places of earlier steps that bear `place`: hubs with the struts that tie them; its own hub is none."""
        step = self.step_for(place)
        return tuple(dict.fromkeys((*step.waits_for, *self._ties_of(step))))

    def hangs_first(self, place: str) -> bool:
        """True for a strut that is pushed onto a hub that stands, and that the hub of its step is put onto."""
        step = self.step_for(place)
        return not step.joins and step.sequence.index(place) < step.sequence.index(step.hub)

    def lacks(self, place: str, filled: Callable[[str], bool]) -> tuple[str, ...]:
        """What `place` still waits for: hubs first; once they are in, the struts that tie them."""
        still = tuple(name for name in self.waits_for(place) if not filled(name))
        step = self.step_for(place)
        return tuple(name for name in still if name in step.waits_for or name == step.hub) or still

    def _ties_of(self, step: Step) -> Iterator[str]:
        """Struts of the steps that filled the hubs on which a step rests; a hub that nothing ties carries nothing."""
        for hub in step.waits_for:
            if hub in self.step_of:
                yield from (item.strut for item in self.steps[self.step_of[hub]].struts)
