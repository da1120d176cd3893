"""Parts that nobody tested: no limit is told anywhere, order and pegs stay as the nearest material has them."""

import pytest
from old_poles import old_design

from fieldapp.base.constants import WIND_ACTION_FRACTIONS
from fieldapp.base.said import in_words
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.limits import limit_notes, limits_at
from fieldapp.plan.order import chosen_winds, judged_plan
from fieldapp.prints.folder import lowest_wind_m_s
from fieldapp.prints.limits_table import limit_rows
from fieldapp.prints.tables import plan_tables
from fieldapp.prints.terminal import plan_lines
from fieldapp.statics.causes import is_untested
from fieldapp.statics.untested import UNTESTED_GUST_M_S
from fieldapp.wording.fit import strength_rules


@pytest.fixture(scope="module")
def old_kit():
    """The small frame of parts that nobody tested."""
    return build_kit(old_design())


def test_every_limit_is_told_to_be_unknown(old_kit, small_kit):
    judged, known = judged_plan(old_kit), judged_plan(small_kit)
    assert judged.plan.way == known.plan.way
    assert judged.plan.peggings == known.plan.peggings
    assert [step.hub for step in judged.plan.steps] == [step.hub for step in known.plan.steps]
    told = [limit for step in judged.plan.steps for limit in step.limits]
    assert told
    assert all(is_untested(limit) and limit.value == 0.0 for limit in told)
    assert set(chosen_winds(old_kit)) == {None}
    words = [in_words(said) for step in judged.plan.steps for said in (*step.cautions, *limit_notes(step),
                                                                       *limits_at(step, step.hub))]
    assert "How hard H17 may be pushed is unknown: not tested. Do not lean on it." in words
    assert not [line for line in words if " N" in line or "%" in line or "bears" in line]


def test_tables_and_terminal_hold_no_number_of_the_table(old_kit):
    judged = judged_plan(old_kit)
    stages = plan_tables(judged, chosen_winds(old_kit))["stages.csv"].splitlines()
    head = stages[0].split(",")
    for line in stages[1:]:
        row = dict(zip(head, line.split(","), strict=True))
        unknown = ("arm_use_weight", "level_tolerance_mm", "wind_limit_m_s")
        assert {row[name] for name in unknown} == {""}
    assert {row[9] for row in limit_rows(judged, chosen_winds(old_kit))} == {"unknown: not tested"}
    assert case_of(old_kit).design.strength.struts == "unknown"
    lines = "\n".join(plan_lines(old_kit))
    assert "Limits: unknown, nobody has tested what struts and hub arms bear." in lines
    assert "Largest use" not in lines


def test_gusts_of_a_frame_that_nobody_tested_are_acted_on_from_beaufort_3(old_kit):
    """WMO-No. 8: leaves move all the time from 3.4 m/s on; 0.6 of the gust that stands for its limit is below that."""
    assert WIND_ACTION_FRACTIONS[0] * UNTESTED_GUST_M_S <= 3.4
    assert lowest_wind_m_s(old_kit) == UNTESTED_GUST_M_S
    [strength] = strength_rules(old_kit.design)
    assert strength.startswith("Strength: nobody has tested what struts and hub arms bear. So no limit is known")
