"""Cutting plans of up to 200 sizes, as ratios to one linear programme over the patterns that such a plan needs.

    python -m pytest -m bench -s tests/bench/bench_cutting.py
"""

from time import process_time

import numpy as np
import pytest

from fieldapp.kit import patterns
from fieldapp.kit.patterns import CutWanted, fewest_bars

pytestmark = pytest.mark.bench


def _seconds(work):
    start = process_time()
    answer = work()
    return answer, process_time() - start


@pytest.mark.parametrize(("sizes", "least_mm", "most_mm", "stock_mm"), [
    (13, 600, 1150, 2400), (98, 600, 1150, 2400), (200, 600, 1150, 2400), (200, 300, 2000, 3000),
    (200, 400, 1500, 6000)])
def test_a_plan_against_one_linear_programme(sizes, least_mm, most_mm, stock_mm):
    random = np.random.default_rng(sizes)
    length = np.sort(random.choice(np.arange(100 * least_mm, 100 * most_mm, 10), sizes, replace=False) + 300)[::-1]
    counts, room = random.integers(5, 40, sizes), 100 * stock_mm + 300
    (bars, least), took_s = _seconds(lambda: fewest_bars(length, counts, room))
    wanted = CutWanted(length, counts, room)
    found = patterns._bounded(wanted)[0]
    _, floor_s = _seconds(lambda: patterns._shared(found.patterns, counts))
    print(f"\n{sizes} sizes of {least_mm} to {most_mm} mm from {stock_mm} mm: {len(bars)} bars, at least {least}; "
          f"{took_s:.1f} s of processor time, {took_s / floor_s:.0f} programmes of {len(found.patterns)} patterns")
    assert least <= len(bars) <= least + 2
