"""Allocation against brute force on small kits, and never worse than what was meant before."""

from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.kit.allocate import NEARLY_FREE, Costs, Group, allocate, fewest_exchanges
from fieldapp.kit.match_lengths import Gaps, match_lengths

RATIOS = st.one_of(st.floats(0.0, 2.0), st.just(float("inf")))

AT_NO_PRICE = Costs(0.0, 0.0)


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
    found = allocate([group], {}, AT_NO_PRICE)
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


@given(groups(), st.data())
@settings(max_examples=80, deadline=None)
def test_the_fewest_exchanges_are_those_that_places_without_a_part_take(group, data):
    order = data.draw(st.permutations(range(len(group.parts))))
    meant = {place: group.parts[row] for place, row in zip(group.places, order, strict=False)}
    plain = fewest_exchanges([group], meant)
    filled = min(choice.count(None) for choice in all_allocations(group))
    assert len(plain.empty) == filled
    home = {place: group.parts.index(part) for place, part in meant.items()}
    fewest = min(sum(row is not None and home.get(place) != row
                     for place, row in zip(group.places, choice, strict=True))
                 for choice in all_allocations(group) if choice.count(None) == filled)
    assert len(plain.moves) == fewest
    best = allocate([group], meant, NEARLY_FREE)
    assert (len(best.empty), best.worst) == (filled, allocate([group], meant, AT_NO_PRICE).worst)
    assert len(best.moves) <= len(allocate([group], meant, AT_NO_PRICE).moves)


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


def test_no_part_moves_only_to_leave_a_harder_place_empty():
    """One of two places needs a new part; without its own ratio in the sum the part would flee to the light place."""
    ratio = np.array([[0.9, 0.3]])
    flees = allocate([Group("hub 1", ("P0",), ("heavy", "light"), ratio)], {"heavy": "P0"})
    stays = allocate([Group("hub 1", ("P0",), ("heavy", "light"), ratio, new=ratio[0])], {"heavy": "P0"})
    assert (dict(flees.part_at), dict(stays.part_at)) == ({"light": "P0"}, {"heavy": "P0"})
    assert stays.total == pytest.approx(1.2)
    weak = np.array([[1.8, 0.6]])
    goes = allocate([Group("hub 1", ("P0",), ("heavy", "light"), weak, new=ratio[0])], {"heavy": "P0"})
    assert dict(goes.part_at) == {"light": "P0"}, "a weak one does, and the new one goes where most is asked"


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


def squares(gaps, part_at):
    return float(np.sum(gaps.of(part_at)**2))


@given(rings(), st.data())
@settings(max_examples=100, deadline=None)
def test_lengths_of_a_small_class_are_matched_as_well_as_any_order_can_and_never_worse_than_before(drawn, data):
    group, gaps = drawn
    order = data.draw(st.permutations(group.parts))
    start = dict(zip(group.places, order, strict=False))
    ratio = {(part, place): group.ratio[i, j] for i, part in enumerate(group.parts)
             for j, place in enumerate(group.places)}
    worst = max(ratio[part, place] for place, part in start.items())
    found = match_lengths(start, [group], gaps, worst=worst, least_gain_mm2=0.0)
    least = min(squares(gaps, dict(zip(group.places, rows, strict=True)))
                for rows in permutations(group.parts, len(group.places))
                if all(ratio[part, place] <= worst for part, place in zip(rows, group.places, strict=True)))
    assert all(ratio[part, place] <= worst for place, part in found.part_at.items())
    assert squares(gaps, found.part_at) <= squares(gaps, start) + 1e-9
    assert squares(gaps, found.part_at) == pytest.approx(least, abs=1e-7)


@given(rings(), st.floats(0.0, 2.0))
@settings(max_examples=60, deadline=None)
def test_no_exchange_by_length_saves_less_than_its_sticker_costs(drawn, price_mm2):
    """Against brute force with the price of stickers in it."""
    group, gaps = drawn
    free = Group(group.name, group.parts, group.places, np.zeros_like(group.ratio))
    meant = dict(zip(free.places, free.parts, strict=False))

    def cost(part_at):
        return squares(gaps, part_at) + price_mm2 * sum(meant[place] != part for place, part in part_at.items())

    found = match_lengths(meant, [free], gaps, least_gain_mm2=price_mm2)
    assert cost(found.part_at) == pytest.approx(min(cost(dict(zip(free.places, rows, strict=True)))
                                                    for rows in permutations(free.parts, len(free.places))), abs=1e-7)


def test_in_a_large_class_no_swap_of_two_is_left_that_closes_better():
    random = np.random.default_rng(5)
    places = tuple(f"S{number:03d}" for number in range(60))
    group = Group("strut A", tuple(f"P{number:03d}" for number in range(64)), places, np.zeros((64, 60)))
    gaps = Gaps(places, random.normal(size=(6, 60)), {part: float(random.normal(0.0, 2.0)) for part in group.parts})
    meant = dict(zip(places, group.parts, strict=False))
    found = match_lengths(meant, [group], gaps, least_gain_mm2=0.0)
    assert found.part_at == match_lengths(meant, [group], gaps, least_gain_mm2=0.0).part_at, "the same every time"
    assert found.gap_mm < 0.01 * found.gap_before_mm
    size = squares(gaps, found.part_at)
    for a, b in combinations(places, 2):
        swapped = {**found.part_at, a: found.part_at[b], b: found.part_at[a]}
        assert squares(gaps, swapped) >= size - 1e-9


def test_a_long_and_a_short_strut_come_side_by_side_and_small_gaps_move_nothing():
    places = ("S0", "S1", "S2", "S3")
    group = Group("strut A", ("long", "P1", "P2", "short"), places, np.zeros((4, 4)))
    meant = dict(zip(places, group.parts, strict=True))
    two_rings = np.array([[1.0, 1.0, 0, 0], [0, 0, 1.0, 1.0]])
    found = match_lengths(meant, [group], Gaps(places, two_rings, {"long": 2.0, "short": -2.0}))
    assert found.gap_mm == 0.0 < found.gap_before_mm
    same = match_lengths(meant, [group], Gaps(places, two_rings, {"long": 0.2, "short": -0.2}))
    assert same.part_at == meant
