"""Allocation against brute force on small kits, and never worse than what was meant before."""

from itertools import combinations, permutations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.kit.allocate import FREE, Costs, Group, allocate
from fieldapp.kit.match_lengths import Gaps, match_lengths

RATIOS = st.one_of(st.floats(0.0, 2.0), st.just(float("inf")))


@st.composite
def groups(draw):
    """One class of up to 5 parts for up to 5 places, some of which must not meet."""
    parts, places = draw(st.integers(0, 5)), draw(st.integers(1, 5))
    ratio = np.array(draw(st.lists(st.lists(RATIOS, min_size=places, max_size=places), min_size=parts,
                                   max_size=parts)), dtype=float).reshape(parts, places)
    return Group("strut A", tuple(f"P{i}" for i in range(parts)), tuple(f"S{i}" for i in range(places)), ratio)


def all_allocations(group):
    """Every way to put parts at places, None for a place left empty."""
    rows = [*range(len(group.parts)), *[None] * len(group.places)]
    return {tuple(choice) for choice in permutations(rows, len(group.places))
            if all(row is None or np.isfinite(group.ratio[row, place]) for place, row in enumerate(choice))}


def rank(group, choice):
    """Empty places, worst ratio, sum: lower is better."""
    ratios = [group.ratio[row, place] for place, row in enumerate(choice) if row is not None]
    return choice.count(None), max(ratios, default=0.0), sum(ratios)


@given(groups())
@settings(max_examples=60, deadline=None)
def test_no_other_allocation_fills_more_or_has_a_lower_worst_ratio_or_then_a_lower_sum(group):
    best = min(rank(group, choice) for choice in all_allocations(group))
    found = allocate([group], {}, FREE)
    assert (len(found.empty), found.worst) == best[:2]
    assert found.total <= best[2] + 1e-9


@given(groups(), st.data())
@settings(max_examples=150, deadline=None)
def test_never_worse_than_what_was_meant_and_every_exchange_pays_its_price(group, data):
    order = data.draw(st.permutations(range(len(group.parts))))
    meant = {place: group.parts[row] for place, row in zip(group.places, order, strict=False)}
    costs = Costs(*data.draw(st.tuples(st.floats(0.0, 0.3), st.floats(0.0, 0.3))))
    found = allocate([group], meant, costs)
    assert len(found.empty) <= found.before_empty
    assert len(set(found.part_at.values())) == len(found.part_at)
    if found.before_empty == len(found.empty) == 0:
        assert found.worst <= found.before_worst
        lowered = found.worst < found.before_worst - costs.least_gain
        price = found.total + costs.exchange * len(found.moves)
        assert lowered or price <= found.before_total + 1e-9
        assert lowered or found.worst <= found.before_worst


def test_a_small_gain_moves_nothing_and_a_large_one_moves_the_weak_part_to_the_light_place():
    parts, places = ("weak", "sound"), ("heavy", "light")
    ask, take = np.array([0.50, 0.10]), np.array([[0.98], [1.0]])
    meant = {"heavy": "weak", "light": "sound"}
    assert allocate([Group("hub 1", parts, places, ask / take)], meant).moves == ()
    weak = Group("hub 1", parts, places, ask / np.array([[0.5], [1.0]]))
    found = allocate([weak], meant)
    assert dict(found.part_at) == {"heavy": "sound", "light": "weak"}
    assert (found.before_worst, found.worst) == (1.0, 0.5)
    move = found.moves[0]
    assert (move.part, move.place, move.before, move.instead_of) == ("sound", "heavy", "light", "weak")


def test_a_missing_part_leaves_one_place_empty_and_says_which():
    found = allocate([Group("hub 1", ("H1",), ("a", "b"), np.array([[0.4, 0.2]]))], {"a": "H1", "b": "gone"})
    assert found.empty == ("a",) or found.empty == ("b",)
    assert found.before_empty == 1
    assert allocate([Group("hub 2", (), ("c",), np.empty((0, 1)))], {}).empty == ("c",)


@st.composite
def rings(draw):
    """Up to 5 struts for 4 places and 3 closing gaps."""
    count = draw(st.integers(4, 5))
    ratio = np.array(draw(st.lists(st.lists(RATIOS, min_size=4, max_size=4), min_size=count, max_size=count)))
    group = Group("strut A", tuple(f"P{i}" for i in range(count)), ("S0", "S1", "S2", "S3"), ratio)
    per_mm = np.array(draw(st.lists(st.floats(-2, 2), min_size=12, max_size=12))).reshape(3, 4)
    off = draw(st.lists(st.floats(-3, 3), min_size=count, max_size=count))
    return group, Gaps(group.places, per_mm, dict(zip(group.parts, off, strict=True)))


@given(rings())
@settings(max_examples=100, deadline=None)
def test_lengths_are_matched_until_no_swap_of_two_closes_better(drawn):
    group, gaps = drawn
    start = allocate([group], {}, FREE)
    found = match_lengths(start.part_at, [group], gaps, worst=2.0, least_gain_mm2=0.0)
    assert found.gap_mm <= found.gap_before_mm + 1e-9
    ratio = {(part, place): group.ratio[i, j] for i, part in enumerate(group.parts)
             for j, place in enumerate(group.places)}
    assert all(np.isfinite(ratio[part, place]) for place, part in found.part_at.items())
    size = np.linalg.norm(gaps.of(found.part_at))
    for a, b in combinations(found.part_at, 2):
        swapped = {**found.part_at, a: found.part_at[b], b: found.part_at[a]}
        if all(np.isfinite(ratio[part, place]) for place, part in swapped.items()):
            assert np.linalg.norm(gaps.of(swapped)) >= size - 1e-4


def test_a_long_and_a_short_strut_come_side_by_side_and_small_gaps_move_nothing():
    places = ("S0", "S1", "S2", "S3")
    group = Group("strut A", ("long", "P1", "P2", "short"), places, np.zeros((4, 4)))
    meant = dict(zip(places, group.parts, strict=True))
    two_rings = np.array([[1.0, 1.0, 0, 0], [0, 0, 1.0, 1.0]])
    found = match_lengths(meant, [group], Gaps(places, two_rings, {"long": 2.0, "short": -2.0}))
    assert found.gap_mm == 0.0 < found.gap_before_mm
    same = match_lengths(meant, [group], Gaps(places, two_rings, {"long": 0.2, "short": -0.2}))
    assert same.part_at == meant
