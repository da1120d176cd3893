"""From a sequence of hub places to steps: which struts each step brings, in which order, and what it waits for."""

from collections.abc import Iterable, Sequence

from fieldapp.base.errors import PlanError
from fieldapp.frame.frame import Frame, HubPlace, StrutPlace
from fieldapp.plan.plan import Insertion, Plan, Step

FIXING_STRUTS_ABOVE = 3
"""Struts that fix a hub in space; the next one goes between two fixed hubs and closes."""
FIXING_STRUTS_GROUND = 1
"""A ground hub may still be shifted until its first base strut is in."""


def plan_of_sequence(frame: Frame, way: str, sequence: Sequence[str], *, left_out: Iterable[str] = ()) -> Plan:
    """One step per hub of `sequence`, each with the struts that tie it to hubs named before it.

    Parameters
    ----------
    frame : Frame
    way : str
        Name of the way, as shown to people.
    sequence : sequence of str
        Hub places in the order they go in.
    left_out : iterable of str
        Hub and strut places that are never filled. Struts of a hub that is left out are left out with it.

    Returns
    -------
    Plan
        `left_out` holds hubs first, then struts, each in frame order.

    Raises
    ------
    PlanError
        If a hub above the ground would hang in the air: no strut ties it to an earlier hub.
    """
    missing = set(left_out)
    placed: set[str] = set()
    steps: list[Step] = []
    for name in sequence:
        steps.append(_step(frame, name, len(steps) + 1, placed=placed, missing=missing))
        placed.add(name)
    return Plan(way, tuple(steps), step_index(steps), unfilled_places(frame, placed, missing))


def step_index(steps: Sequence[Step]) -> dict[str, int]:
    """Place (hub or strut) to the index of the step that fills it."""
    index: dict[str, int] = {}
    for number, step in enumerate(steps):
        index[step.hub] = number
        index.update((insertion.strut, number) for insertion in step.struts)
    return index


def unfilled_places(frame: Frame, placed: set[str], missing: set[str]) -> tuple[str, ...]:
    """Hub places not in `placed`, then strut places in `missing` or without both hubs."""
    hubs = [hub.name for hub in frame.hubs if hub.name not in placed]
    struts = [s.name for s in frame.struts
              if s.name in missing or s.end_1.hub not in placed or s.end_2.hub not in placed]
    return (*hubs, *struts)


def _step(frame: Frame, name: str, number: int, *, placed: set[str], missing: set[str]) -> Step:
    hub = frame.hub(name)
    ties = [s for s in (frame.strut(arm.strut) for arm in hub.arms)
            if s.name not in missing and other_hub(s, name) in placed]
    if not ties and not hub.on_ground and placed:
        raise PlanError(f"hub {name} would hang in the air in step {number}: no strut ties it to a hub that stands; "
                        f"put one of its neighbours before it")
    ties.sort(key=lambda s: _insertion_key(frame, hub, s))
    waits = tuple(dict.fromkeys(other_hub(s, name) for s in ties))
    return Step(number, name, hub.ring, _insertions(hub, ties), waits, height_mm=float(frame.position_mm(name)[2]))


def other_hub(strut: StrutPlace, hub: str) -> str:
    """The hub place at the far end of `strut`."""
    return strut.end_2.hub if strut.end_1.hub == hub else strut.end_1.hub


def _insertion_key(frame: Frame, hub: HubPlace, strut: StrutPlace) -> tuple[int, bool, int]:
    """Struts from below first, then along the ring from the neighbour just placed, the ring closer last."""
    far = frame.hub(other_hub(strut, hub.name))
    if far.ring != hub.ring:
        return far.ring, False, far.number_in_ring
    return far.ring, far.number_in_ring != hub.number_in_ring - 1, far.number_in_ring


def _insertions(hub: HubPlace, ties: Sequence[StrutPlace]) -> tuple[Insertion, ...]:
    fixing = FIXING_STRUTS_GROUND if hub.on_ground else FIXING_STRUTS_ABOVE
    return tuple(_insertion(s, other_hub(s, hub.name), closes=i >= fixing) for i, s in enumerate(ties))


def _insertion(strut: StrutPlace, onto: str, *, closes: bool) -> Insertion:
    end = strut.end_at(onto)
    return Insertion(strut.name, onto, end, strut.end(end).arm, closes=closes)
