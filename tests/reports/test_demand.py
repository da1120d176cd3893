"""What places are asked for, against the judge of ways and against solving every misfit by itself."""

import numpy as np
import pytest

from fieldapp.plan.judge import judge
from fieldapp.plan.planner import way_plan
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.reports.closing import closing
from fieldapp.reports.demand import demand, settled_stage
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import factored


@pytest.mark.parametrize("way", ["ring by ring", "crown first"])
def test_stages_agree_with_the_judge_of_the_way(full_hall, way):
    plan = way_plan(full_hall.kit, way)
    asked, rows = demand(full_hall.case, plan), judge(full_hall.case, plan).rows
    assert [stage.arm.use for stage in asked.stages] == pytest.approx([row.design_use for row in rows], rel=1e-9)
    assert [stage.tube_use for stage in asked.stages] == pytest.approx([1.35 * row.tube_use for row in rows], rel=0.02)
    assert asked.arm.max() == pytest.approx(max(row.design_use for row in rows))
    worst = asked.worst_arm
    frame = full_hall.kit.frame
    spot = frame.strut_index[worst.arm.strut], frame.strut(worst.arm.strut).end_at(worst.arm.hub) - 1
    assert (asked.arm[spot], asked.arm_step[spot]) == (worst.arm.use, worst.step)


def test_places_left_out_are_asked_nothing(full_hall):
    rows = [full_hall.kit.frame.strut_index[place] for place in full_hall.plan.left_out if place.startswith("S")]
    assert rows
    assert not full_hall.asked.arm[rows].any()
    assert not full_hall.asked.tube[rows].any()


def test_closing_gaps_by_reciprocity_are_those_of_every_misfit_solved_by_itself(bare_hall):
    case, plan = bare_hall.case, bare_hall.plan
    found = closing(case, plan)
    assert found.rings == (1, 2, 3, 4, 5, 6)
    for ring, strut in zip(found.rings, found.struts, strict=True):
        number = max(step.number for step in plan.steps if step.ring == ring)
        stage = analysis(case, fitted_after(plan, number))
        ready = factored(settled_stage(case, stage.fitted, tuple(name for name in stage.tied if name != strut)))
        at = case.model.strut_index[strut]
        moved = response(ready, misfit(ready.stage, np.eye(len(ready.stage.struts)))).moved
        start, end = case.model.ends[at]
        apart = (moved[:, end, :3] - moved[:, start, :3]) @ case.model.axes.local[at, 0]
        row = found.per_mm[found.rings.index(ring)]
        assert row[ready.stage.struts] == pytest.approx(-apart, abs=1e-8)
        assert row[at] == 1.0


def test_a_ring_of_struts_that_are_all_too_long_by_their_share_still_closes(bare_hall):
    """A frame built one per cent larger everywhere is the same frame: no gap, nothing locked in."""
    lengths = np.array([strut.centre_length_mm for strut in bare_hall.kit.frame.struts])
    gaps = closing(bare_hall.case, bare_hall.plan).per_mm @ (0.01 * lengths)
    assert np.abs(gaps).max() < 0.02 * 0.01 * lengths.max()
