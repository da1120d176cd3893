"""The ways of raising, each a generator of placements. None knows any statics: all are judged alike afterwards."""

import math
from collections.abc import Iterator, Mapping, Sequence

from fieldapp.base.errors import PlanError
from fieldapp.base.said import Said, Value, listed, say
from fieldapp.frame.frame import Frame
from fieldapp.plan.assemble import Placement, neighbours
from fieldapp.plan.bays import has_bays

RING_BY_RING = "ring by ring"
LEVEL_BY_LEVEL = "level by level"
BAY_BY_BAY = "bay by bay"
TOP_FIRST = "crown first"
TOP_SET_ON_LAST = "crown set on last"
WEDGE_BY_WEDGE = "wedge by wedge"
OWN_ORDER = "own order"
RECOMMENDED = "recommended"
"""Whichever ranks first."""
TOP_PIECE = "crown"
"""Name of the piece that is built apart."""

_NAMED: Mapping[str, Said] = {
    RING_BY_RING: say("ring by ring"), LEVEL_BY_LEVEL: say("level by level"), BAY_BY_BAY: say("bay by bay"),
    TOP_FIRST: say("crown first"), TOP_SET_ON_LAST: say("crown set on last"),
    WEDGE_BY_WEDGE: say("wedge by wedge"), OWN_ORDER: say("own order"), RECOMMENDED: say("recommended"),
    TOP_PIECE: say("crown")}
"""What the ways and the piece are called; their names above are kept in designs, plans and logs."""

WEDGES = 5
"""As many as a frame from the icosahedron has equal sectors round its crown [1].
Source: symmetry of the icosahedron (F1). Test: tests/plan/test_ways.py"""
WEDGE_TIES = 2
"""A hub joins its wedge once it has two struts to lean on; with fewer it waits for the next wedge [1].
Source: our choice. Test: tests/plan/test_ways.py"""


def named(name: str) -> Value:
    """A way of raising, or a piece that is built apart, as people call it; any other name as it is."""
    return _NAMED.get(name, name)


def by_levels(frame: Frame) -> str:
    """What the way from the ground up is called: by rings where a frame has some, else by levels."""
    return LEVEL_BY_LEVEL if frame.drawn else RING_BY_RING


def of_frame(frame: Frame) -> tuple[str, ...]:
    """The ways that make sense for a shape, in the order they are shown; an own order always does.

    Levels always; bays where a drawn frame is no higher than long, and no single hub is its top; pieces from the top
    down, and wedges round it, where one is.
    """
    round_it = (TOP_FIRST, TOP_SET_ON_LAST, WEDGE_BY_WEDGE) if frame.top is not None or not frame.drawn else ()
    along = (BAY_BY_BAY,) if frame.drawn and not round_it and has_bays(frame) else ()
    return (by_levels(frame), *along, *round_it, OWN_ORDER)


def bay_by_bay(frame: Frame, order: Sequence[Sequence[str]], left_out: Sequence[str], *,
               ties: int) -> Iterator[Placement]:
    """From one end to the other; a hub waits for `ties` struts to what stands, at most until all bays are there."""
    missing = set(left_out)
    waiting: list[str] = []
    sequence: list[str] = []
    for bay in order:
        waiting = _fill(frame, waiting + [name for name in bay if name not in missing], sequence, ties=ties)
    for fewer in range(ties - 1, 0, -1):
        waiting = _fill(frame, waiting, sequence, ties=fewer)
    return from_ground(frame, sequence)


def levels(frame: Frame, left_out: Sequence[str]) -> list[list[str]]:
    """Hub places level by level from the ground, clockwise, without those left out; empty levels dropped."""
    missing = set(left_out)
    found = [[hub.name for hub in frame.level(r) if hub.name not in missing] for r in range(1, frame.level_count + 1)]
    return [level for level in found if level]


def evenly_spaced(hubs: Sequence[str], count: int) -> tuple[str, ...]:
    """`count` of `hubs`, spread round the level; all of them if there are no more."""
    if count >= len(hubs):
        return tuple(hubs)
    return tuple(hubs[round(i * len(hubs) / count) % len(hubs)] for i in range(count))


def carriers_of(frame: Frame, rim: Sequence[str], count: int) -> tuple[str, ...]:
    """`count` hubs of a rim, spread clockwise round it, in whichever order its hubs were put in.

    Source: (P13). Test: tests/plan/test_ways.py
    """
    return evenly_spaced(sorted(rim, key=lambda hub: frame.hub_index[hub]), count)


def from_ground(frame: Frame, sequence: Sequence[str], *, resting: tuple[str, ...] = ()) -> Iterator[Placement]:
    """Placements of any order that builds on what stands on the ground; `resting` stands there already."""
    for name in sequence:
        if frame.hub(name).on_ground:
            resting = (*resting, name)
        yield Placement(name, stands_on=resting)


def level_by_level(frame: Frame, order: Sequence[Sequence[str]]) -> Iterator[Placement]:
    """From the ground up, level after level, each in the order given."""
    return from_ground(frame, [name for level in order for name in level])


def top_first(frame: Frame, order: Sequence[Sequence[str]], carriers: int) -> Iterator[Placement]:
    """The top piece first; then lift, add the next level below, lift again.

    Until its second level is in, the top piece is put together on the ground with a prop under it. From
    then on the piece is carried at `carriers` hubs, evenly spaced, of the level that was its rim.
    """
    downward = order[::-1]
    for depth, level in enumerate(downward):
        rim = downward[depth - 1] if depth else []
        low_mm = _lowest_mm(frame, level)
        carried = carriers_of(frame, rim, carriers) if depth > 1 else ()
        for number, name in enumerate(level):
            resting = (*rim, *level[:number + 1]) if depth < 2 else ()
            lift_mm = _lowest_mm(frame, rim) - low_mm if carried and number == 0 else 0.0
            if depth == len(downward) - 1 and number == len(level) - 1:
                carried, resting = (), tuple(level)
            yield Placement(name, TOP_PIECE, stands_on=resting, carried_at=carried, lift_mm=lift_mm, lowered_mm=low_mm)


def top_set_on_last(frame: Frame, order: Sequence[Sequence[str]], carriers: int, *,
                      piece_level: int) -> Iterator[Placement]:
    """Lower levels from the ground; the top piece put together beside them, lifted at its rim and set on.

    `piece_level` counts, from 0, the lowest level of the top piece in `order`.
    """
    below, piece = order[:piece_level], order[piece_level:]
    yield from from_ground(frame, [name for level in below for name in level])
    rim, low_mm = piece[0], _lowest_mm(frame, piece[0])
    ground = tuple(name for level in below for name in level if frame.hub(name).on_ground)
    resting = 0
    for name in (name for level in piece for name in level):
        resting = min(resting + 1, len(rim))
        yield Placement(name, TOP_PIECE, stands_on=(*ground, *rim[:resting]), lowered_mm=low_mm)
    for number, name in enumerate(rim):
        last = number == len(rim) - 1
        yield Placement(name, TOP_PIECE, stands_on=ground, carried_at=() if last else carriers_of(frame, rim, carriers),
                        lift_mm=0.0 if number else low_mm, joins=True)


def wedge_by_wedge(frame: Frame, left_out: Sequence[str]) -> Iterator[Placement]:
    """One sector from the ground to the top, then the next one clockwise. The top hub comes last."""
    missing = set(left_out)
    waiting: list[str] = []
    sequence: list[str] = []
    for wedge in range(WEDGES):
        waiting += [hub.name for hub in frame.hubs if hub.name not in missing and _wedge(frame, hub.name) == wedge]
        waiting = _fill(frame, waiting, sequence, ties=WEDGE_TIES)
    _fill(frame, waiting, sequence, ties=1)
    return from_ground(frame, sequence)


def own_order(frame: Frame, left_out: Sequence[str], order: Sequence[str]) -> Iterator[Placement]:
    """A hand-written order of hub places, built from the ground.

    Raises
    ------
    PlanError
        If the order is empty, names a hub that is not there or left out, repeats one, or forgets some.
    """
    if not order:
        raise PlanError("raising.own_order is empty; list every hub place once, in the order they go in, "
                        "or choose another way")
    missing = set(left_out)
    seen: set[str] = set()
    for number, name in enumerate(order, start=1):
        frame.hub(name)
        if name in seen:
            raise PlanError(f"raising.own_order repeats hub {name} (entry {number}); name each hub once")
        if name in missing:
            raise PlanError(f"raising.own_order names hub {name} (entry {number}), which the design leaves out; "
                            f"drop it from the order or from what is left out")
        seen.add(name)
    forgotten = [hub.name for hub in frame.hubs if hub.name not in seen and hub.name not in missing]
    if forgotten:
        raise PlanError(f"raising.own_order forgets {listed(forgotten, most=6)}; name every hub once "
                        f"or add them to raising.leave_out")
    return from_ground(frame, order)


def _fill(frame: Frame, waiting: list[str], sequence: list[str], *, ties: int) -> list[str]:
    """Move hubs that can stand from `waiting` to the end of `sequence`; return those that cannot yet."""
    placed = set(sequence)
    waiting = sorted(waiting, key=lambda name: frame.hub_index[name])
    while True:
        ready = next((name for name in waiting if frame.hub(name).on_ground
                      or len(placed.intersection(neighbours(frame, name))) >= ties), None)
        if ready is None:
            return waiting
        waiting.remove(ready)
        sequence.append(ready)
        placed.add(ready)


def _wedge(frame: Frame, name: str) -> int:
    """Sector of a hub, 0 to WEDGES − 1, clockwise from the front mark; the top hub is in the last."""
    x_mm, y_mm, _ = frame.position_mm(name)
    dx_mm, dy_mm = x_mm - frame.centre_mm[0], y_mm - frame.centre_mm[1]
    if math.hypot(dx_mm, dy_mm) < 1e-6 * frame.radius_mm:
        return WEDGES - 1
    turn = math.atan2(-dx_mm, -dy_mm) / math.tau % 1.0
    return int(round(turn * WEDGES, 6)) % WEDGES


def _lowest_mm(frame: Frame, hubs: Sequence[str]) -> float:
    return min((float(frame.position_mm(name)[2]) for name in hubs), default=0.0)
