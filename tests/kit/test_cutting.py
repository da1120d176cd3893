"""Cutting plans: every piece once, nothing over the bar, and few bars."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import DesignError
from fieldapp.kit.cutting import CutPiece, CuttingPlan, cutting_plan, plan_cuts
from fieldapp.kit.kit import Kit
from fieldapp.kit.knapsack import most_valuable, most_valuable_with_each

pieces = st.lists(st.tuples(st.integers(1500, 24000), st.integers(1, 40)), min_size=1, max_size=8,
                  unique_by=lambda item: item[0]).map(
    lambda items: [CutPiece(f"p{length}", length / 10.0, count) for length, count in items])


def sawn(plan: CuttingPlan) -> Counter[str]:
    """How many pieces of each name a plan gives."""
    return Counter({name: sum(pattern.bars * dict(pattern.pieces).get(name, 0) for pattern in plan.patterns)
                    for name in {name for pattern in plan.patterns for name, _ in pattern.pieces}})


@settings(max_examples=40, deadline=None)
@given(pieces, st.sampled_from((0.0, 3.0, 3.2)))
def test_every_piece_once_within_the_bar_and_near_the_bound(wanted: list[CutPiece], kerf_mm: float) -> None:
    plan = plan_cuts(wanted, 2400.0, kerf_mm)
    lengths_mm = {piece.name: piece.length_mm for piece in wanted}
    assert sawn(plan) == Counter({piece.name: piece.count for piece in wanted})
    for pattern in plan.patterns:
        number = sum(count for _, count in pattern.pieces)
        used_mm = sum(count * lengths_mm[name] for name, count in pattern.pieces)
        assert used_mm + (number - 1) * kerf_mm <= 2400.0 + 0.005 * number
        assert pattern.offcut_mm == pytest.approx(max(0.0, 2400.0 - used_mm - number * kerf_mm), abs=0.01)
    assert plan.least_bars <= plan.bars <= plan.least_bars + 1


def test_the_last_cut_may_fall_off_the_bar() -> None:
    assert plan_cuts([CutPiece("half", 1198.5, 2)], 2400.0, 3.0).bars == 1
    assert plan_cuts([CutPiece("half", 1198.6, 2)], 2400.0, 3.0).bars == 2


def test_a_whole_kit_with_its_spares(kit: Kit) -> None:
    [(_, plan)] = cutting_plan(kit).by_section
    assert sawn(plan) == Counter(part.part_class for part in kit.parts if part.kind == "strut")
    assert plan.bars == plan.least_bars


def test_a_piece_longer_than_the_stock_is_refused() -> None:
    with pytest.raises(DesignError, match=r"piece D is 2500.0 mm long, but the stock has 2400 mm"):
        plan_cuts([CutPiece("D", 2500.0, 1)], 2400.0, 3.0)


def test_nothing_to_saw() -> None:
    assert plan_cuts([], 2400.0, 3.0).bars == 0


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(1, 12), st.integers(0, 5), st.integers(0, 100)), min_size=1, max_size=4),
       st.integers(1, 40))
def test_the_most_valuable_pattern_beats_every_other(items: list[tuple[int, int, int]], room: int) -> None:
    sizes, most = np.array([i[0] for i in items]), np.array([i[1] for i in items])
    prices = np.array([i[2] / 64.0 for i in items])
    best = most_valuable(prices, sizes, most, room=room)
    choices = np.stack(np.meshgrid(*(np.arange(m + 1) for m in most)), axis=-1).reshape(-1, len(items))
    fitting = choices[choices @ sizes <= room]
    assert best @ sizes <= room
    assert (best <= most).all()
    assert prices @ best == pytest.approx((fitting @ prices).max())
    each = most_valuable_with_each(prices, sizes, most, room=room)
    assert (each @ sizes <= room).all()
    assert (each <= most).all()
    for size in np.flatnonzero((prices > 0) & (most > 0) & (sizes <= room)):
        assert (each[each[:, size] > 0] @ prices).max() == pytest.approx((fitting[fitting[:, size] > 0] @ prices).max())


@pytest.mark.thorough
def test_two_hundred_sizes_are_cut_within_one_bar_of_the_best_that_pairing_finds() -> None:
    """Two pieces a bar: the longest with the longest that fits beside it is then the best there is (textbook)."""
    random = np.random.default_rng(7)
    lengths = np.sort(random.choice(np.arange(10_500, 13_000), 200, replace=False))[::-1] / 10.0
    counts = random.integers(10, 30, 200)
    wanted = [CutPiece(f"{mm}", float(mm), int(n)) for mm, n in zip(lengths, counts, strict=True)]
    plan = plan_cuts(wanted, 2400.0, 3.0)
    assert plan.least_bars <= _paired(list(lengths.repeat(counts)), 2400.0, 3.0) <= plan.bars <= plan.least_bars + 1


def _paired(pieces_mm: list[float], stock_mm: float, kerf_mm: float) -> int:
    """Bars for pieces, longest first, of which no three go into one."""
    bars = 0
    while pieces_mm:
        left_mm = stock_mm - pieces_mm.pop(0) - kerf_mm
        beside = next((i for i, piece_mm in enumerate(pieces_mm) if piece_mm <= left_mm + 1e-9), None)
        if beside is not None:
            pieces_mm.pop(beside)
        bars += 1
    return bars
