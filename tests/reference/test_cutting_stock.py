"""Checks against the worked example of the article "Cutting stock problem", Wikipedia.

Bars of 5600 mm, thirteen widths, no kerf: the optimum is 73 bars with 0.401 % waste.
"""

from fieldapp.kit.cutting import CutPiece, plan_cuts

STOCK_MM = 5600.0
WANTED = {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14,
          2140: 16, 2150: 18, 2200: 20}
PIECES = [CutPiece(str(length), float(length), count) for length, count in WANTED.items()]


def test_published_optimum() -> None:
    plan = plan_cuts(PIECES, STOCK_MM, kerf_mm=0.0)
    waste_mm = sum(pattern.bars * pattern.offcut_mm for pattern in plan.patterns)
    assert plan.bars == plan.least_bars == 73
    assert round(100.0 * waste_mm / (plan.bars * STOCK_MM), 3) == 0.401


def test_a_kerf_costs_bars() -> None:
    # Shows that the comparison can fail: the published figure is for saws that take nothing away.
    assert plan_cuts(PIECES, STOCK_MM, kerf_mm=30.0).bars > 73
