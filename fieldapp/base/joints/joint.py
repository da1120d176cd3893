"""What a kind of joint is: one record of all in which kinds differ, filled in a file per kind.

Plain data and small functions, so that statics, kit, plan, paper and pages can all read it. Words are
English as written and marked for the catalogues; whoever shows them fills the gaps and translates.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from fieldapp.base.sections import Section, plies

Owner = Literal["hub", "strut"]


@dataclass(frozen=True, slots=True)
class ArmSizes:
    """What a design answers about arms and struts [mm]."""

    ply_mm: float
    depth_mm: float
    plies: int
    outer_mm: float
    """Of the strut."""
    wall_mm: float | None
    """Of the strut; None for a solid one."""


def flat_section(sizes: ArmSizes) -> Section:
    """Plates that lie on each other, flat to the hub."""
    return plies(sizes.ply_mm, sizes.depth_mm, sizes.plies)


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """How a strut is built between two hub centres: (springs –) arm or rigid link – tube – the same back."""

    springs: bool
    """Rotational springs at the hub centre, as stiff as the design answers; 0 both ways is a pin."""
    rigid: bool
    """From the hub centre to the tube nothing bends; else there is an arm of `section`."""
    arm_of: Owner
    """The part that the arm belongs to: its material, its weight, and what is weaker once it is damaged there."""
    section: Callable[[ArmSizes], Section] = flat_section
    """Of the arm: stiffness, and with the strength of its material (or break tests) what it can take."""


def nothing_inside(width_mm: float, thickness_mm: float, off_mm: float) -> float:
    """No bore is needed."""
    return 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What must go into what."""

    share_inside: float
    """Part of the reach that sits inside the strut if the design does not say; 0: nothing goes into the strut."""
    bore_mm: Callable[[float, float, float], float] = nothing_inside
    """Inner diameter of the strut that is needed for an arm of some width and thickness, the strut's axis at most so
    far beside the arm's middle [mm]."""

    def depth_mm(self, reach_mm: float, given_mm: float | None) -> float:
        """How deep an arm sits in its strut [mm]; `given_mm` is the design's own answer."""
        if not self.share_inside:
            return 0.0
        return self.share_inside * reach_mm if given_mm is None else given_mm



@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """How it is put together: words for pages and booklet."""

    yes: str
    """After two scans that belong together; gaps end, strut, arm, hub."""
    first: str
    """The hub that a strut goes onto first; gap hub."""
    at_arm: str
    """Where an end goes; gaps end, arm, hub."""
    end_in_hand: str
    """The same of the end whose label was scanned."""
    talk: str
    """Told to the crew before the first step."""
    hanging: str
    """The site rule about a strut that one arm holds alone."""
    push: str
    """The site rule about force."""
    strike: str
    """Said before anything comes down."""
    every_strut: str
    """Looked at before hands are taken off."""
    nothing_broken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Workshop:
    """What is cut, bent or drilled: for the hub sheets and the cut list."""

    sheet: bool
    """The hub is a flat sheet of arms and cut out; else only directions are drawn."""
    hub: str
    """What a hub is made of; gaps material, layers, thickness, width, reach, deeper, root, middle."""
    reading: tuple[str, ...] = ()
    """Besides what holds for all hub sheets."""
    dips: tuple[str, ...] = ()
    """Where the dip comes from, if not from a flat sheet; gap reach."""
    cutting: tuple[str, ...] = ()
    """What the saw alone does not do to a strut; gaps reach, twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakTest:
    """How one is broken on purpose, and what its paper says."""

    title: str
    series: str
    """What is tested, and of how many; gap fewest."""
    clamped: str
    lever: str
    """How the strut goes on and from where the lever counts; gap lever."""
    foretold: bool
    """Whether the load can be foretold from section and strength."""
    weigh: str
    """What to do when it breaks."""
    wet: str
    one_series: str
    """What belongs into one series."""
    sudden: str
    """The first caution."""
    strut: str
    """The words at the lever, in the picture."""
    root: str
    """The words at the bench's edge, in the picture."""
    measured: str
    """The words at the lever's length, in the picture; gap mm."""
    heads: tuple[str, str]
    """Which part was tested, and where: heads of two columns."""


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A line of the inspector's list: what to look at and how."""

    item: str
    look: str
    critical: bool = False
    each: bool = False
    """Said of every end of a strut, or every arm of a hub."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """Lines of the inspector's list that belong to the joint; those for the materials stand with the list."""

    ends: tuple[CheckLine, ...]
    """Of a strut's ends."""
    arms: bool
    """Whether the hub has arms of its own to look at."""
    hub: tuple[CheckLine, ...] = ()
    """Of the hub."""


@dataclass(frozen=True, slots=True)
class Needed:
    """An answer in [hub] that a kind of joint cannot do without."""

    key: str
    advice: str
    """What to do, after the message that says it is missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One kind of joint."""

    kind: str
    """Its name in the design file."""
    question: str
    """How the design file asks for it, after "How is a strut held:"."""
    needed: tuple[Needed, ...] = ()
    every_way: bool = False
    """Whether arms may point anywhere, one behind another or straight out; else the hub is flat."""
    member: Member
    fit: Fit
    assembly: Assembly
    workshop: Workshop
    break_test: BreakTest
    inspection: Inspection
