"""One plan for each way of raising: the best of its orders, with holds, working heights and what to stand on."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import product

from fieldapp.base.errors import PlanError
from fieldapp.base.remembered import remembered
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.kit.kit import Kit
from fieldapp.plan import ways
from fieldapp.plan.assemble import Placement, plan_of_placements, plan_of_steps
from fieldapp.plan.bays import bays
from fieldapp.plan.doorway import places_left_out
from fieldapp.plan.lifting import chosen_piece, top_pieces
from fieldapp.plan.motions import holds_by_step
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.plan.reach import reach
from fieldapp.plan.search import best_levels, plan_score

BAY_TIES = (2, 3)
"""Struts to what stands for which a hub of a bay waits: both are tried [1].
Source: our choice. Test: tests/plan/test_bays.py"""


def way_names(kit: Kit) -> tuple[str, ...]:
    """The ways that can be judged for this kit: those of its shape, the own order only if there is one."""
    return tuple(way for way in ways.of_frame(kit.frame) if way != ways.OWN_ORDER or kit.design.raising.own_order)


def way_plans(kit: Kit, way: str) -> list[Plan]:
    """The orders of one way, best first, with holds and reach; no arm utilisation yet.

    Parameters
    ----------
    kit : Kit
    way : str
        One of `ways.of_frame`; ring by ring and level by level are one way, called by what the frame has.

    Returns
    -------
    list of Plan

    Raises
    ------
    PlanError
        If there is no such way, or its order cannot be followed.
    """
    return with_holds(kit, way_outlines(kit, way))


def way_outlines(kit: Kit, way: str) -> list[Plan]:
    """The orders of one way before anybody knows what must be held: in no order of merit; see `way_plans`."""
    missing = places_left_out(kit.frame, kit.design)
    way = ways.by_levels(kit.frame) if way in (ways.RING_BY_RING, ways.LEVEL_BY_LEVEL) else way
    found: list[Plan] = []
    refused: list[PlanError] = []
    for placements in _variants(kit, way, missing):
        try:
            plan = plan_of_placements(kit.frame, way, placements, left_out=missing)
        except PlanError as error:
            refused.append(error)
        else:
            found.append(plan_of_steps(kit.frame, way, [_helped(step, kit.design) for step in plan.steps]))
    if not found:
        raise refused[0]
    return found


def with_holds(kit: Kit, outlines: Sequence[Plan]) -> list[Plan]:
    """Orders of one way with what must be held after each step, best first."""
    plans = [with_help(plan, kit.frame, kit.design) for plan in outlines]
    return sorted(plans, key=lambda plan: plan_score(plan, kit.design.crew))


def with_help(plan: Plan, frame: Frame, design: Design) -> Plan:
    """The plan with holds, what to stand on, and how far hubs must be spread for struts that close."""
    holds = holds_by_step(frame, plan.steps)
    return plan_of_steps(frame, plan.way, [replace(_helped(step, design), holds=held)
                                           for step, held in zip(plan.steps, holds, strict=True)])


def _helped(step: Step, design: Design) -> Step:
    """The step with what to stand on, and how far hubs must be spread for struts that close."""
    help_up = reach(step.height_mm, design.crew)
    depth_mm = insertion_depth_mm(design)
    struts: tuple[Insertion, ...] = tuple(replace(insertion, spreading_mm=depth_mm) if insertion.closes else insertion
                                          for insertion in step.struts)
    return replace(step, struts=struts, reachable=help_up.reachable, stand_on=help_up.stand_on)


def _variants(kit: Kit, way: str, missing: Sequence[str]) -> Iterator[Iterator[Placement]]:
    """The orders that compete inside one way, the plain clockwise one first."""
    makers: dict[str, Callable[[], Iterator[Iterator[Placement]]]] = {
        ways.RING_BY_RING: lambda: _level_variants(kit, missing),
        ways.LEVEL_BY_LEVEL: lambda: _level_variants(kit, missing),
        ways.BAY_BY_BAY: lambda: _bay_variants(kit, missing),
        ways.TOP_FIRST: lambda: _top_first_variants(kit, missing),
        ways.TOP_SET_ON_LAST: lambda: _set_on_variants(kit, missing),
        ways.WEDGE_BY_WEDGE: lambda: iter([ways.wedge_by_wedge(kit.frame, missing)]),
        ways.OWN_ORDER: lambda: iter([ways.own_order(kit.frame, missing, kit.design.raising.own_order)]),
    }
    allowed = ways.of_frame(kit.frame)
    if way not in allowed:
        known = f"the way '{way}' does not apply to this shape" if way in makers else \
            f"there is no way of raising called '{way}'"
        raise PlanError(f"{known}; ways are {', '.join(allowed)}")
    return makers[way]()


def _level_variants(kit: Kit, missing: Sequence[str]) -> Iterator[Iterator[Placement]]:
    plain = ways.levels(kit.frame, missing)
    yield ways.level_by_level(kit.frame, plain)
    yield ways.level_by_level(kit.frame, _best_below(kit, missing, len(plain)))


def _bay_variants(kit: Kit, missing: Sequence[str]) -> Iterator[Iterator[Placement]]:
    """From the front and from the far end."""
    order = bays(kit.frame)
    for bay_order, ties in product((order, order[::-1]), BAY_TIES):
        yield ways.bay_by_bay(kit.frame, bay_order, missing, ties=ties)


def _top_first_variants(kit: Kit, missing: Sequence[str]) -> Iterator[Iterator[Placement]]:
    plain = ways.levels(kit.frame, missing)
    for order in (plain, [_back(level) for level in plain], [_both(level) for level in plain]):
        yield ways.top_first(kit.frame, order, kit.design.raising.crown_carriers)


def _set_on_variants(kit: Kit, missing: Sequence[str]) -> Iterator[Iterator[Placement]]:
    plain = ways.levels(kit.frame, missing)
    first = chosen_piece(top_pieces(kit.frame, kit, missing), kit.design).piece_level
    carriers = kit.design.raising.crown_carriers
    yield ways.top_set_on_last(kit.frame, plain, carriers, piece_level=first)
    below = _best_below(kit, missing, first)
    yield ways.top_set_on_last(kit.frame, [*below, *plain[first:]], carriers, piece_level=first)


def _best_below(kit: Kit, missing: Sequence[str], upto: int) -> list[list[str]]:
    """The best order of the lowest levels: each is found on those below it, whatever comes above."""
    try:
        return _best_levels(kit, tuple(missing))[:upto]
    except PlanError:  # a level above may have no order at all
        return best_levels(kit.frame, ways.levels(kit.frame, missing)[:upto], missing, kit.design.crew)


@remembered(2, by=lambda kit, missing: (kit.design, missing))
def _best_levels(kit: Kit, missing: tuple[str, ...]) -> list[list[str]]:
    """Of all levels."""
    return best_levels(kit.frame, ways.levels(kit.frame, missing), missing, kit.design.crew)


def _back(level: Sequence[str]) -> list[str]:
    """The same start, anticlockwise."""
    return [*level[:1], *level[:0:-1]]


def _both(level: Sequence[str]) -> list[str]:
    """The same start, alternating clockwise and anticlockwise."""
    return list(dict.fromkeys(name for pair in zip(level, _back(level), strict=True) for name in pair))
