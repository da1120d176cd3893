"""Steps in words: what is shown of a step with limits, lifts and holds, and what is not said where nothing limits."""

import math
from dataclasses import replace

from fieldapp.base.joints import JOINTS
from fieldapp.base.said import in_words
from fieldapp.plan.bounds import LAG_BY_EYE_MM
from fieldapp.plan.limits import LIMITS
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.plan.reach import GROUND
from fieldapp.reports.raising.lifts import LiftOrder
from fieldapp.statics.governs import Governs, Limit
from fieldapp.wording.ahead import lift_briefly, lift_words
from fieldapp.wording.place import limit_words, order_words, pushing_words

STEP = Step(number=1, hub="H23", level=2, waits_for=("H08", "H09"), holds=("H23",), stand_on=GROUND,
            limits=(Limit("free end", 22.4, "S030", Governs("arm", "S030", "H08")),
                    Limit("push", 37.2, "H23", Governs("tube", "S102"))),
            struts=(Insertion("S030", "H08", 1, 4), Insertion("S031", "H09", 1, 1, closes=True, spreading_mm=47.5)))


def plan_of(step: Step) -> Plan:
    return Plan("ring by ring", (step,), {"H23": 0, "S030": 0, "S031": 0}, ("H16",))


def test_a_step_says_struts_holds_and_where_to_stand() -> None:
    assert order_words(plan_of(STEP), "S030") == (
        "Step 1 of 1: hub H23.", "With it, in this order: S030 and S031.", "Once it is in, hold H23.",
        "Stand on the ground.")


def test_limits_come_with_a_familiar_weight() -> None:
    assert limit_words(plan_of(STEP), "H23") == (
        "Push H23 sideways with at most 37 N, about the weight of three full 1-litre bottles; the tube of S102 folds "
        "first.", "Joints: not tested.")
    assert limit_words(plan_of(STEP), "S030") == (
        "While its far end is loose, push that end with at most 22 N: about the weight of two full 1-litre bottles; "
        "the arm of H08 on S030 breaks first.", "Joints: not tested.")


def test_nothing_is_said_where_any_push_is_borne_or_nothing_was_computed() -> None:
    for limits in ((Limit("push", math.inf, "H23"),), ()):
        assert limit_words(plan_of(replace(STEP, limits=limits)), "H23") == ()
    assert limit_words(plan_of(STEP), "S031") == ()


def test_a_closing_strut_says_how_far_the_hubs_are_spread() -> None:
    assert pushing_words(plan_of(STEP), "S031", JOINTS["flat arm"].assembly) == (
        "Push it onto H09 first.", "S031 goes in last: spread its hubs by 48 mm.")


def test_a_bolted_strut_is_bolted_and_never_pushed_onto_an_arm() -> None:
    plan = plan_of(replace(STEP, struts=tuple(replace(item, spreading_mm=0.0) for item in STEP.struts)))
    assert pushing_words(plan, "S031", JOINTS["bolted end"].assembly) == (
        "Bolt it to H09 first; tighten when both ends are on.",
        "S031 goes in last: ease its hubs apart, do not force it.")


def test_a_lift_says_how_high_and_where_it_is_carried() -> None:
    lifted = replace(STEP, piece="crown", lift_mm=1234.0, carried_at=("H50", "H51"), joins=True, reachable=False)
    words = order_words(plan_of(lifted), "H23")
    assert "Before it, lift the piece by 1.23 m, carried at H50 and H51." in words
    assert "This ties the piece to the frame." in words
    assert words[-1] == "It cannot be reached from there: raise what you stand on, or ask the chief."


def test_a_place_left_out_is_in_no_step() -> None:
    plan = plan_of(STEP)
    assert order_words(plan, "H16") == ("In no step: the way 'ring by ring' leaves this place out.",)
    assert limit_words(plan, "H16") == ()
    assert pushing_words(plan, "S999", JOINTS["flat arm"].assembly) == ()


def test_a_piece_that_hands_do_not_keep_level_enough_is_set_on_props_and_not_lifted():
    for lag_mm in (0.0, 0.4, LAG_BY_EYE_MM - 0.1, LAG_BY_EYE_MM):
        lag = Limit("lag", lag_mm, "H50", Governs("tube", "S102"))
        order = LiftOrder(12, ("H50", "H51", "H52"), 900.0, 30.0, 4, 12, lag, 0.3, 0, False)
        by_hand = lag_mm >= LAG_BY_EYE_MM
        for lines in (lift_words(order), lift_briefly(order)):
            assert lines[0].startswith("Lift now: 4 people" if by_hand else "Do not lift it so: ")
            assert "within 0 mm" not in " ".join(lines)
        of = LIMITS["lag"]
        for said in (*of.caution(STEP, (lag,)), *of.now((lag,), 200.0)):
            assert ("no carrier more than 20 mm" in in_words(said).lower()) == by_hand
            assert in_words(said).startswith("Set it on wedged props before anything") != by_hand
