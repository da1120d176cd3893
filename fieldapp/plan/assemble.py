"""From placements (which hub goes where, when) to steps: the struts each brings, their order, what it waits for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from fieldapp.base.errors import PlanError
from fieldapp.frame.frame import Frame, StrutPlace
from fieldapp.plan.plan import Insertion, Plan, Step

FIXING_STRUTS_ABOVE = 3
"""Struts that fix a hub in space; the next one goes between two fixed hubs and closes [1].
Source: three translations, three struts (P1). Test: tests/plan/test_order.py"""
FIXING_STRUTS_GROUND = 1
"""A hub on the ground may still be shifted until its first strut along the ground is in [1].
Source: our choice. Test: tests/plan/test_order.py"""


@dataclass(frozen=True, slots=True)
class Placement:
    """One hub's turn in a way of raising, before struts are assigned to it."""

    hub: str
    piece: str = ""
    stands_on: tuple[str, ...] = ()
    carried_at: tuple[str, ...] = ()
    lift_mm: float = 0.0
    lowered_mm: float = 0.0
    """How far below its final height the hub is at this moment [mm]."""
    joins: bool = False


@dataclass(slots=True)
class Erection:
    """What is in so far; grows by one placement at a time."""

    frame: Frame
    missing: frozenset[str]
    steps: list[Step] = field(default_factory=list)
    piece_of: dict[str, str] = field(default_factory=dict)
    fitted: set[str] = field(default_factory=set)
    order: dict[str, int] = field(default_factory=dict)

    def add(self, placement: Placement) -> Step:
        """Do one placement; PlanError if its hub would hang in the air."""
        step = _step(self, placement)
        self.piece_of[step.hub] = "" if placement.joins else placement.piece
        self.fitted.update(insertion.strut for insertion in step.struts)
        self.order.setdefault(step.hub, len(self.steps))
        self.steps.append(step)
        return step

    def copy(self) -> "Erection":
        """The same state, to try a continuation on."""
        return Erection(self.frame, self.missing, list(self.steps), dict(self.piece_of), set(self.fitted),
                        dict(self.order))


def plan_of_placements(frame: Frame, way: str, placements: Iterable[Placement], *,
                       left_out: Iterable[str] = ()) -> Plan:
    """One step per placement, each with the struts that tie its hub to hubs placed before in the same piece.

    Parameters
    ----------
    frame : Frame
    way : str
        Name of the way, as shown to people.
    placements : iterable of Placement
        In the order they are done.
    left_out : iterable of str
        Hub and strut places that are never filled. Struts of a hub that is left out are left out with it.

    Returns
    -------
    Plan
        `left_out` holds hubs first, then struts, each in frame order.

    Raises
    ------
    PlanError
        If a hub would hang in the air: no strut ties it to an earlier hub and it does not rest on the ground.
    """
    assembly = Erection(frame, frozenset(left_out))
    for placement in placements:
        assembly.add(placement)
    return plan_of_steps(frame, way, assembly.steps)


def plan_of_steps(frame: Frame, way: str, steps: Sequence[Step]) -> Plan:
    """The plan with these steps; what they do not fill is left out."""
    struts = {insertion.strut for step in steps for insertion in step.struts}
    return Plan(way, tuple(steps), step_index(steps), unfilled_places(frame, struts, {step.hub for step in steps}))


def step_index(steps: Sequence[Step]) -> dict[str, int]:
    """Place (hub or strut) to the index of the step that fills it."""
    index: dict[str, int] = {}
    for number, step in enumerate(steps):
        index.setdefault(step.hub, number)
        index.update((insertion.strut, number) for insertion in step.struts)
    return index


def unfilled_places(frame: Frame, struts: set[str], hubs: set[str]) -> tuple[str, ...]:
    """Hub places not in `hubs`, then strut places not in `struts`, each in frame order."""
    return (*(hub.name for hub in frame.hubs if hub.name not in hubs),
            *(strut.name for strut in frame.struts if strut.name not in struts))


def other_hub(strut: StrutPlace, hub: str) -> str:
    """The hub place at the far end of `strut`."""
    return strut.end_2.hub if strut.end_1.hub == hub else strut.end_1.hub


def neighbours(frame: Frame, hub: str) -> tuple[str, ...]:
    """The hub places that share a strut with `hub`, by arm number."""
    return tuple(other_hub(frame.strut(arm.strut), hub) for arm in frame.hub(hub).arms)


def _step(assembly: Erection, placement: Placement) -> Step:
    frame, name, number = assembly.frame, placement.hub, len(assembly.steps) + 1
    ties = _ties(assembly, placement)
    if not ties and name not in placement.stands_on and not placement.joins and placement.piece == "":
        raise PlanError(f"hub {name} would hang in the air in step {number}: no strut ties it to a hub that stands; "
                        f"put one of its neighbours ({', '.join(neighbours(frame, name))}) before it")
    waits = dict.fromkeys(other_hub(s, name) for s in ties)
    if placement.joins:
        waits.update((hub, None) for hub, piece in assembly.piece_of.items()
                     if piece == placement.piece and hub != name)
    worked_at = [other_hub(s, name) for s in ties] if placement.joins and ties else [name]
    height_mm = max(float(frame.position_mm(hub)[2]) for hub in worked_at) - placement.lowered_mm
    return Step(number, name, frame.hub(name).level, _insertions(placement, ties), tuple(waits), height_mm=height_mm,
                piece=placement.piece, stands_on=placement.stands_on, carried_at=placement.carried_at,
                lift_mm=placement.lift_mm, joins=placement.joins)


def _ties(assembly: Erection, placement: Placement) -> list[StrutPlace]:
    """Struts of this step: from other levels first, then along the level from the hub placed last; the closer last."""
    frame, piece = assembly.frame, "" if placement.joins else placement.piece
    hub = frame.hub(placement.hub)
    found: list[tuple[tuple[int, int], StrutPlace]] = []
    for strut in (frame.strut(arm.strut) for arm in hub.arms):
        far = frame.hub(other_hub(strut, hub.name))
        done = strut.name in assembly.missing or strut.name in assembly.fitted
        if not done and assembly.piece_of.get(far.name) == piece:
            placed = assembly.order[far.name]
            found.append(((1, -placed) if far.level == hub.level else (0, placed), strut))
    return [strut for _, strut in sorted(found, key=lambda pair: pair[0])]


def _insertions(placement: Placement, ties: Sequence[StrutPlace]) -> tuple[Insertion, ...]:
    rests = placement.hub in placement.stands_on
    fixing = 0 if placement.joins else FIXING_STRUTS_GROUND if rests else FIXING_STRUTS_ABOVE
    return tuple(_insertion(s, placement.hub if placement.joins else other_hub(s, placement.hub), closes=i >= fixing)
                 for i, s in enumerate(ties))


def _insertion(strut: StrutPlace, onto: str, *, closes: bool) -> Insertion:
    end = strut.end_at(onto)
    return Insertion(strut.name, onto, end, strut.end(end).arm, closes=closes)
