"""A block on four feet against the closed forms of statics, and the covered hemisphere of the trade sheet.

A block of weight W slides at µW and tips about an edge at W·b/(2h), b its full width, h the height of the push
(elementary statics). Design values: the weight counts 0.9 times, a push 1.5 times.
"""

import numpy as np
import pytest
from feet_block import APEX, block, on_feet

from fieldapp.base.constants import GAMMA_G_HOLDING, GAMMA_Q
from fieldapp.statics.feet.collapse import CollapseProgram
from fieldapp.statics.feet.pushes import feet_push_collapse, unit_pushes
from fieldapp.statics.governs import SLIDES, TIPS

REL = 1e-4


def _borne(feet, load, *, factors=(GAMMA_G_HOLDING, GAMMA_Q)):
    """The largest multiple of a force at the apex that the block bears."""
    weight = factors[0] * feet.pressing_n(feet.of.weight)[0]
    pressing = np.asarray(load) @ feet.pressing_n(unit_pushes(feet, APEX)) * factors[1] / GAMMA_Q
    return CollapseProgram(feet, weight, pressing[None], 1e6).farthest(np.ones(1))


@pytest.mark.parametrize("high_mm", [1000.0, 2000.0])
def test_a_block_slides_at_friction_times_its_weight(high_mm):
    feet, weight_n = on_feet(block(4000.0, high_mm), friction=0.4)
    for angle in (0.0, 0.3, 0.7854):
        found = _borne(feet, (np.cos(angle), np.sin(angle), 0.0))
        assert found.settled
        assert found.loads[0] == pytest.approx(0.4 * weight_n * 0.9 / 1.5, rel=REL)


def test_a_block_tips_at_its_weight_times_half_its_width_over_the_height():
    feet, weight_n = on_feet(block(2000.0, 4000.0), friction=0.4)
    found = _borne(feet, (1.0, 0.0, 0.0))
    assert found.loads[0] == pytest.approx(weight_n * 2000 / (2 * 4000) * 0.9 / 1.5, rel=REL)


def test_the_worst_direction_of_a_push_is_found():
    """Sliding: up by the angle of friction, µW/√(1 + µ²). Tipping: square to the line from edge to hub."""
    feet, weight_n = on_feet(block(4000.0, 1000.0), friction=0.4)
    slides = feet_push_collapse(feet, APEX, 1e4)
    assert slides.governs.what == SLIDES
    assert slides.value == pytest.approx(0.4 / np.hypot(1, 0.4) * weight_n * 0.9 / 1.5, rel=0.011)
    feet, weight_n = on_feet(block(2000.0, 4000.0), friction=0.9)
    tips = feet_push_collapse(feet, APEX, 1e4)
    assert tips.governs.what == TIPS
    assert tips.value == pytest.approx(1000 / np.hypot(4000, 1000) * weight_n * 0.9 / 1.5, rel=0.011)


@pytest.mark.parametrize(("friction", "weight_kn"), [(0.25, 19.77), (0.40, 14.56), (0.50, 12.83)])
def test_the_covered_hemisphere_is_held_by_the_weight_that_the_trade_sheet_computes(friction, weight_kn):
    """Drag 2.082 kN, uplift 3.534 kN: W = (1.5 drag/µ + 1.5 uplift)/0.9, printed to four figures."""
    feet, weight_n = on_feet(block(6000.0, 1000.0, hub_mass_kg=weight_kn * 1000 / 9.80665 / 5), friction=friction)
    load = np.array([2082.0, 0.0, 3534.0]) * weight_n / (weight_kn * 1000)
    assert _borne(feet, load).loads[0] == pytest.approx(1.0, rel=1e-3)


def test_cohesion_pegs_and_ballast_by_hand():
    of = block(4000.0, 1000.0)
    feet, weight_n = on_feet(of, friction=0.5, most_sideways_n=31.0)
    assert _borne(feet, (1.0, 0.0, 0.0)).loads[0] == pytest.approx(4 * 31.0 / 1.5, rel=REL)
    feet, _ = on_feet(of, friction=0.0, peg_side_n={"H01": 100.0, "H02": 100.0, "H03": 100.0, "H04": 100.0})
    assert _borne(feet, (1.0, 0.0, 0.0)).loads[0] == pytest.approx(400.0 / 1.5, rel=REL)
    feet, _ = on_feet(of, friction=0.4, peg_up_n=50.0)
    assert _borne(feet, (0.0, 0.0, 1.0)).loads[0] == pytest.approx((0.9 * weight_n + 200.0) / 1.5, rel=REL)
    feet, _ = on_feet(of, friction=0.4, ballast_n=100.0)
    slides = feet_push_collapse(feet, APEX, 1e4)
    assert slides.value == pytest.approx(0.4 / np.hypot(1, 0.4) * (weight_n + 400) * 0.9 / 1.5, rel=0.011)
