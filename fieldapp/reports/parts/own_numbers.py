"""What each part can still take and how long it is, by its own numbers: damage, repairs, moisture, measured length.

Everything that asks what a part is still worth asks here: giving out parts, judging stages, what stands on site.
What moisture or damage of the whole part leaves counts on top of what an arm or end has left, so that two
weaknesses never count as one.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import get_args

from fieldapp.base.duration import Family
from fieldapp.base.materials import material
from fieldapp.base.moisture import moisture_factor
from fieldapp.base.remembered import remembered
from fieldapp.kit.checklist import Checklist, Use
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Kit, Part, PartKind
from fieldapp.log.state import Defect, PartState, State

LEFT: dict[str, tuple[float, float]] = {
    "arm_snapped": (0.0, 0.0),
    "arm_cracked": (0.5, 0.0),
    "arm_loose": (0.5, 0.0),
    "hole_torn": (0.5, 0.0),
    "glue_open": (0.5, 0.0),
    "end_crushed": (0.5, 0.0),
    "end_split": (0.5, 0.0),
    "split": (0.5, 0.0),
    "buckled": (0.0, 0.0),
    "dented": (0.8, 0.5),
    "soaked": (0.75, 0.5),
    "came_in_wet": (0.75, 0.5),
}
"""Damage → share of a sound one that is left (slight, bad) [1]. Not sure counts as bad.
Source: our choice, on the safe side: nobody can see the strength of a cracked arm; damp wood a little below the step
from service class 2 to 3 of EN 1995-1-1 Table 3.1, 0.7/0.9.
Test: tests/reports/standing/test_standing.py"""

WET = frozenset({"soaked", "came_in_wet"})
PAPER_WET = (0.5, 0.0)
"""The same for paper that got wet [1]: at 12 % moisture half its strength is gone, at 17 % all of it.
Source: (B1): Correa, Structural Engineering International 14, 2004. Test: tests/reference/test_moisture.py"""

OTHER_LEFT = (1.0, 0.0)
"""The same for damage in somebody's own words, and for failed checks [1].
Source: our choice. Test: tests/reports/standing/test_standing.py"""


def share_left(defect: Defect, family: Family = "timber") -> float:
    """Share of a sound one that one open defect leaves, 0 to 1; a mended one counts by what its repair states.

    Examples
    --------
    >>> wet = Defect("", "soaked", "soaked", unsafe=True)
    >>> share_left(wet), share_left(wet, "paper"), share_left(wet, "steel")
    (0.5, 0.0, 1.0)
    """
    if defect.mended:
        return 1.0
    slight, bad = LEFT.get(defect.what, OTHER_LEFT)
    if defect.what in WET and family in ("steel", "aluminium"):
        return 1.0
    if defect.what in WET and family == "paper":
        slight, bad = PAPER_WET
    return bad if defect.unsafe else slight


def family_of(kit: Kit, part: Part) -> Family:
    """Of what a part is made: a hub of the hubs' material, a strut of that of its own section."""
    return material(kit.design.hub.material if part.kind == "hub" else kit.strut_of(part).material).family


UNCERTAIN = 0.8
"""A watched part counts as this share of its strength when places are given out [1], so that it comes to sit where
little is asked. The statics of the stages take its strength as logged.
Source: our choice. Test: tests/reports/readiness/test_readiness.py"""


@dataclass(frozen=True, slots=True)
class Strength:
    """One part."""

    whole: float = 1.0
    """Part of the design's strength that its moisture, or damage of the whole part, leaves."""
    spots: tuple[tuple[int, float], ...] = ()
    """(arm or end as marked, share of a sound one), damaged or mended ones only; on top of `whole`."""
    trust: float = 1.0
    """Share that counts when places are given out."""
    off_mm: float = 0.0
    """Struts: how much longer than its cut length it was measured; 0 if it was not."""
    moisture_percent: float | None = None

    def at(self, spot: int) -> float:
        """What an arm or end can take, as a share of the design's."""
        return self.whole * dict(self.spots).get(spot, 1.0)

    @property
    def weakest(self) -> float:
        """The least of its arms or ends."""
        return self.whole * min((share for _, share in self.spots), default=1.0)

    @property
    def is_plain(self) -> bool:
        """True if all its arms or ends can take the same."""
        return not self.spots


SOUND = Strength()

USES: tuple[Use, ...] = get_args(Use)

WHOLE = 0
"""Stands for the whole part where a defect names no arm and no end (in no formula)."""


def part_strengths(state: State, checklist: Checklist | None, part_ids: Iterable[str] | None = None
                   ) -> dict[str, Strength]:
    """Of these parts, or all of them: what defects leave, what repairs state, what was measured by the checklist."""
    service_class = state.kit.design.raising.service_class
    items = {(kind, use): "" if checklist is None else checklist.item_of(kind, use) or ""
             for kind in get_args(PartKind) for use in USES}
    found = {}
    for part in state.all_parts() if part_ids is None else map(state.part, part_ids):
        past, made_of = state.parts[part.id], family_of(state.kit, part)
        measured = {item: value for item, value, _ in past.measured}
        moisture_percent = measured.get(items[part.kind, "moisture"])
        dry = 1.0 if moisture_percent is None else moisture_factor(made_of, moisture_percent, service_class)
        off_mm = _off_mm(part, measured.get(items[part.kind, "length"]))
        found[part.id] = replace(_by_log(past, dry, made_of), off_mm=off_mm,
                                 moisture_percent=moisture_percent)
    return found


def _off_mm(part: Part, length_mm: float | None) -> float:
    """Measured less designed length; 0 if it was not measured."""
    return 0.0 if length_mm is None or part.cut_length_mm is None else length_mm - part.cut_length_mm


def _by_log(past: PartState, dry: float, family: Family) -> Strength:
    """What defects, repairs and moisture leave; the worse of damage and damp counts for the whole part."""
    left = _defects_left(past, family)
    spots = {number: min(past.capacity_of(number), left.get(number, 1.0))
             for number in {*dict(past.capacity), *left} - {WHOLE}}
    reduced = tuple(sorted((number, share) for number, share in spots.items() if share < 1.0))
    return Strength(min(dry, left.get(WHOLE, 1.0)), reduced, UNCERTAIN if past.condition == "watch" else 1.0)


def _defects_left(past: PartState, family: Family) -> dict[int, float]:
    """Arm or end → the least share that its open defects leave."""
    left: dict[int, float] = {}
    for defect in past.defects:
        number = defect.arm or defect.end or WHOLE
        left[number] = min(left.get(number, 1.0), share_left(defect, family))
    return left


@dataclass(frozen=True, slots=True)
class OwnNumbers:
    """What differs from a frame of sound parts as designed; hashable, places in order."""

    arms: tuple[tuple[str, int, float], ...] = ()
    """(hub place, arm of the place, share of a sound one)."""
    struts: tuple[tuple[str, float], ...] = ()
    """(strut place, share of a sound one) of its weaker end or of the whole strut."""
    ends_gone: tuple[tuple[str, int], ...] = ()
    """(strut place, end that carries nothing)."""
    off_mm: tuple[tuple[str, float], ...] = ()
    """(strut place, how much longer than designed its strut was measured)."""


@remembered(8)
def own_numbers(state: State, checklist: Checklist | None) -> OwnNumbers:
    """The numbers of the parts that are fitted now, by place; without a checklist nothing measured is known.

    Notes
    -----
    Arms are marked on the part as at the place it was made for; `kit.interchange` says at which arm of the
    place each comes to lie.
    """
    fitted = {place: part for place, part in sorted(state.fitted.items()) if _is_written_of(state.parts[part])}
    strengths = part_strengths(state, checklist, fitted.values())
    of = {place: strengths[part] for place, part in fitted.items()}
    struts = {place: one for place, one in of.items() if place in state.kit.frame.strut_index}
    return OwnNumbers(
        tuple(arm for place in of if place not in struts for arm in _arms(state, place, of[place])),
        tuple((place, one.weakest) for place, one in struts.items() if one.weakest < 1.0),
        tuple((place, end) for place, one in struts.items() if (end := _end_gone(one)) is not None),
        tuple((place, one.off_mm) for place, one in struts.items() if one.off_mm))


def _is_written_of(past: PartState) -> bool:
    """True if anything is known of a part that may make it differ from a sound one."""
    return bool(past.measured or past.defects or past.capacity)


def _arms(state: State, place: str, strength: Strength) -> tuple[tuple[str, int, float], ...]:
    """Weakened arms of the hub at a place, by the place's arm numbers."""
    kit = state.kit
    turns = hub_turns(kit, state.part(state.fitted[place]), place)
    pairs = turns[0].arms if turns else tuple((arm.number, arm.number) for arm in kit.frame.hub(place).arms)
    shares = sorted((at, strength.at(arm)) for arm, at in pairs)
    return tuple((place, at, share) for at, share in shares if share < 1.0)


def _end_gone(strut: Strength) -> int | None:
    """The end that carries nothing; end 2 if neither does: the strut then hangs loose there."""
    gone = [end for end in (1, 2) if strut.at(end) == 0.0]
    return gone[-1] if gone else None
