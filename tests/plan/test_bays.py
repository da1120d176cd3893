"""Bays of a long frame, and the ways that a shape without rings or crown offers."""

import numpy as np
import pytest

from fieldapp.base.errors import PlanError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.given.record import GivenLines
from fieldapp.frame.given.section import DrawingSection
from fieldapp.kit import build_kit
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.bays import bays, long_axis
from fieldapp.plan.planner import way_names, way_plans
from fieldapp.plan.ways import bay_by_bay
from fieldapp.wording.raising import step_runs

ROWS = 5
"""Triangles in a row, each a metre behind the one before: the ridge of a tent."""


def _tent(turned_deg=0.0):
    points = [(f"{letter}{row}", x, 1000.0 * row, z)
              for row in range(ROWS) for letter, x, z in (("L", -500.0, 0.0), ("R", 500.0, 0.0), ("T", 0.0, 800.0))]
    at = {name: number for number, (name, *_) in enumerate(points)}
    pairs = [(f"{a}{row}", f"{b}{row}") for row in range(ROWS) for a, b in ("LT", "RT")]
    pairs += [(f"{a}{row}", f"{b}{row + 1}") for row in range(ROWS - 1)
              for a, b in ("LL", "RR", "TT", "LT", "RT")]
    return Design(given=GivenLines(points=tuple(points), lines=tuple((at[a], at[b]) for a, b in pairs)),
                  frame=FrameSection(file="tent.csv"), drawing=DrawingSection(seen_from="above", front_deg=turned_deg))


@pytest.mark.parametrize("turned_deg", [0.0, 30.0, 90.0])
def test_bays_follow_the_long_axis_however_the_frame_is_turned(turned_deg):
    frame = build_frame(_tent(turned_deg))
    turned = np.radians(turned_deg)
    assert abs(long_axis(frame) @ (-np.sin(turned), np.cos(turned))) == pytest.approx(1.0, abs=1e-5)
    assert [len(bay) for bay in bays(frame)] == [3] * ROWS
    plan = plan_of_placements(frame, "bay by bay", bay_by_bay(frame, bays(frame), (), ties=2))
    assert len(plan.steps) == len(frame.hubs)
    runs = step_runs(frame, plan)
    assert [run.name for run in runs] == [f"bay {n}" for n in range(1, ROWS + 1)]


def test_a_shape_without_a_top_offers_levels_and_bays_and_says_so():
    kit = build_kit(_tent())
    assert way_names(kit) == ("level by level", "bay by bay")
    with pytest.raises(PlanError, match="the way 'crown first' does not apply to this shape; ways are level by level"):
        way_plans(kit, "crown first")
    assert {plan.way for plan in way_plans(kit, "ring by ring")} == {"level by level"}, "a name that older files have"


def test_a_dome_has_no_bays(lean_kit):
    with pytest.raises(PlanError, match="'bay by bay' does not apply"):
        way_plans(lean_kit, "bay by bay")
