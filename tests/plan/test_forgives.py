"""What a whole frame forgives: hanging, a ladder, a strut or hub lost; by hand, exactly reached, and from scratch.

The same frames and forces are held against another library in `tests/reference/test_pynite_forgives.py`.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.said import in_words
from fieldapp.base.sections import tube
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.template import STARTER
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.forgives import what_it_forgives
from fieldapp.plan.forgives.hang import hang_limits, ladder_limits, pull_n
from fieldapp.plan.forgives.lost import alike, lost_parts, whole, without
from fieldapp.plan.forgives.on_feet import borne_on_feet, ways_to_stand
from fieldapp.plan.forgives.record import (
    HANG,
    LADDER_DEG,
    LADDER_LOAD_KG,
    LADDER_UP,
    PERSON_N,
    Forgives,
    ladder_push_n,
    that_bear,
    worst_of,
)
from fieldapp.plan.forgives.upset import resting, upset_limits
from fieldapp.plan.order import level_order
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.prints.forgives.table import COLUMNS, forgives_rows
from fieldapp.statics import loads
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.governs import SLIDES, TIPS
from fieldapp.statics.limits import Limit
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tubes import tube_utilisation
from fieldapp.wording.forgives import forgives_answers

C24 = material("C24")


def _case(**sections):
    design = STARTER.model_copy(update={name: getattr(STARTER, name).model_copy(update=answers)
                                        for name, answers in sections.items()})
    kit = build_kit(design)
    return case_of(kit), level_order(kit.frame, design)


@pytest.fixture(scope="module")
def starter():
    """11 hubs, 25 struts."""
    return _case(ground={"friction": 0.4}, frame={"frequency": 1, "cut": "2/3", "diameter_m": 2.4})


@pytest.fixture(scope="module")
def stage(starter):
    case, plan = starter
    return analysis(case, fitted_after(plan, len(plan.steps)))


@pytest.fixture(scope="module")
def found(starter):
    return tuple(what_it_forgives(*starter))


def test_a_ladder_pushes_a_fifth_of_what_stands_three_quarters_up():
    """W · (x / L) · cot 75°, moments about its foot: 100 kg give 197 N."""
    assert (LADDER_LOAD_KG, LADDER_UP, LADDER_DEG) == (100.0, 0.75, 75.0)
    assert ladder_push_n() == pytest.approx(197.1, abs=0.1)
    assert ladder_push_n() / (LADDER_LOAD_KG * 9.80665) == pytest.approx(0.201, abs=5e-4)
    assert PERSON_N == 1000.0


def _table(height_mm=3000.0):
    """Four feet on a square of 2 m and one hub above its middle."""
    nodes = np.array([[1000.0, 1000, 0], [-1000, 1000, 0], [-1000, -1000, 0], [1000, -1000, 0], [0, 0, height_mm]])
    make = Make(JOINTS["flat arm"], 100.0, tube(40.0, 4.0), C24, tube(40.0, 4.0), C24, hub_mass_kg=2.0)
    made = bare_model(nodes, np.array([[0, 4], [1, 4], [2, 4], [3, 4], [0, 1], [1, 2], [2, 3], [3, 0]]), make,
                      outward=np.tile([0.0, 0, 1], (5, 1)), on_ground=np.arange(5) < 4)
    return stage_of(made, made.hub_names)


def test_it_tips_about_two_feet_and_slides_at_friction_by_hand():
    """Tips at 0.9 W b / (2 h), b the full width; slides at 0.9 µ W; under 1.5 × the force."""
    stage = _table()
    weight = loads.weight(stage)
    w = -weight.hubs_n[0, :, 2].sum()
    push = np.array([[0.0, 1.0, 0.0]])
    for friction, what, borne in ((2.0, TIPS, 0.9 * w * 2000.0 / (2 * 3000.0)), (0.2, SLIDES, 0.9 * 0.2 * w)):
        on = footing(stage.model.hub_names[:4], friction=friction)
        (limit,) = upset_limits(resting(stage, weight, on), "ladder", ["top"], np.array([[0.0, 0.0, 3000.0]]), push)
        assert (limit.value * GAMMA_Q, limit.governs.what) == (pytest.approx(borne, rel=1e-9), what)


def test_hanging_tips_only_outside_the_feet_and_pegs_help():
    stage = _table()
    weight, down = loads.weight(stage), np.array([[0.0, 0.0, -1.0]])
    w = -weight.hubs_n[0, :, 2].sum()
    loose, pegged = (resting(stage, weight, footing(stage.model.hub_names[:4], friction=0.4, peg_up_n=peg))
                     for peg in (0.0, 100.0))
    (inside,) = upset_limits(loose, "hang", ["in"], np.array([[900.0, 0.0, 2000.0]]), down)
    (outside,) = upset_limits(loose, "hang", ["out"], np.array([[1500.0, 0.0, 2000.0]]), down)
    (held,) = upset_limits(pegged, "hang", ["out"], np.array([[1500.0, 0.0, 2000.0]]), down)
    assert math.isinf(inside.value)
    assert outside.value * GAMMA_Q * 500.0 == pytest.approx(0.9 * w * 1000.0, rel=1e-9)
    assert held.value * GAMMA_Q * 500.0 == pytest.approx(0.9 * w * 1000.0 + 2 * 100.0 * 2000.0, rel=1e-9)


def test_feet_in_one_line_are_no_stand():
    stage = _table()
    assert resting(stage, loads.weight(stage), footing(stage.model.hub_names[:2], friction=0.4)) is None


def _load_at(stage, place, force):
    model, of = stage.case.model, stage.solved
    if place in model.strut_index:
        row = np.searchsorted(of.stage.struts, [model.strut_index[place]])
        return loads.at_middles(of.stage, row, np.array([force]))
    on = np.zeros((1, *of.stage.fixed.shape))
    on[0, model.hub_index[place], :3] = force
    return loads.on_hubs(of.stage, on)


def _all(steps):
    return {limit.at: limit for some in steps for limit in some}


def _use(stage, place, force):
    """Of the most used arm or tube under 1.35 × weight + 1.5 × a force, feet pinned."""
    of = stage.solved
    total = of.weight * GAMMA_G + response(of.ready, _load_at(stage, place, force) * GAMMA_Q)
    return max(total.arm_utilisation.max(), tube_utilisation(total, stage.case.tubes).max())


@pytest.fixture(scope="module")
def held_firm():
    """Feet that neither slide nor lift: what is borne is what arms and tubes bear."""
    case, plan = _case(strut={"length_error_mm": 0.0}, hub={"angle_error_deg": 0.0},
                       ground={"friction": 2.0, "holds_up_n": 1e5, "holds_sideways_n": 1e5, "holds_source": "test"})
    fitted = fitted_after(plan, len(plan.steps))
    return analysis(case, replace(fitted, pegged=fitted.stands_on))


def test_what_hangs_at_its_limit_uses_something_up(held_firm):
    """On firm feet the weakest limit is near what pinned feet bear, and none is above that."""
    hang = _all(hang_limits(held_firm))
    weakest = min(hang.values(), key=lambda limit: limit.value)
    assert 0.75 < _use(held_firm, weakest.at, (0, 0, -weakest.value)) <= 1.0 + 5e-3
    assert all(_use(held_firm, place, (0, 0, -limit.value)) <= 1.0 + 5e-3 for place, limit in hang.items())


def test_a_ladder_bears_no_more_than_its_worse_side(held_firm):
    model = held_firm.case.model
    limit = _all(ladder_limits(held_firm))["S058"]
    middle = model.nodes_mm[model.ends[model.strut_index["S058"]]].mean(axis=0)
    way = middle * [1, 1, 0] / np.linalg.norm(middle[:2])
    assert all(_use(held_firm, "S058", sign * way * limit.value) <= 1.0 + 5e-3 for sign in (1, -1))


@pytest.fixture(scope="module")
def strong():
    """Tubes and arms that bear a person in some places."""
    case, plan = _case(strut={"outer_mm": 45.0, "length_error_mm": 0.0}, hub={"plies": 3, "angle_error_deg": 0.0},
                       ground={"friction": 0.3})
    return analysis(case, fitted_after(plan, len(plan.steps)))


def test_feet_that_let_go_refuse_what_pinned_feet_would_bear():
    """The crown of Orchard Hall, loose on wet grass: a person on its top hub lifts feet, and an arm below breaks."""
    kit = build_kit(orchard_hall())
    case, plan = case_of(kit), level_order(kit.frame, kit.design)
    stage = analysis(case, fitted_after(plan, len(plan.steps)))
    assert _use(stage, "H46", (0, 0, -PERSON_N)) <= 1.0
    of = stage.solved
    unit = response(of.ready, _load_at(stage, "H46", (0, 0, -1.0)) * GAMMA_Q)
    (limit,) = borne_on_feet(stage, ways_to_stand(stage, of), unit, [Limit(HANG, PERSON_N, "H46")], PERSON_N)
    assert limit.value < PERSON_N / 2
    assert limit.governs.what == "arm"
    assert limit.governs.taken.startswith("feet ")      # for engineers: history, springs, a foot that hangs


def test_what_joints_must_hold_is_the_largest_pull_of_all_who_may_hang(strong):
    stage = strong
    hang = tuple(_all(hang_limits(stage)).values())
    good = that_bear(hang, PERSON_N)
    assert good
    pulls = [(stage.solved.weight * GAMMA_G + response(stage.solved.ready, _load_at(stage, place, (0, 0, -PERSON_N))
                                                       * GAMMA_Q)).arms[..., 0].max() for place in good]
    assert pull_n(stage, hang) == pytest.approx(max(pulls))


BALL = 1.025
"""Pushes that loose feet bear are found from inside to 2 %, and half of that is told: places that sit alike differ so
much."""


def test_no_loss_is_told_to_leave_more_than_its_own_analysis_says(stage, found):
    """Each loss from scratch, every hub pushed: nothing told lies above it, whatever sits alike or near."""
    told = {each.place: each for each in found[-1].lost}
    for place in ("S001", "S016", "H06"):
        own = without(stage.case, stage.fitted, place)
        assert told[place].stands == own.stands
        assert told[place].push.value <= own.push.value * BALL
        assert told[place].wind.value <= own.wind.value * (1 + 1e-3)
        assert told[place].use >= own.use * (1 - 1e-6)


def test_places_that_sit_alike_lose_alike(stage):
    group = next(group for group in alike(stage) if len(group) == 5)
    _, weakest = whole(stage)
    (told,) = lost_parts(stage, [group], weakest)
    assert [each.place for each in told] == list(group)
    own = without(stage.case, stage.fitted, group[-1])
    assert told[-1].push.value == pytest.approx(own.push.value, rel=BALL - 1)
    assert told[-1].use == pytest.approx(own.use, rel=1e-6)


def test_a_frame_of_hinges_folds_without_one_strut_and_says_where(found):
    case, plan = _case(hub={"joint": "spring", "stiffness_out_nm_rad": 0.0, "stiffness_in_nm_rad": 0.0},
                       raising={"leave_out": ("H21", "H23")})
    fitted = fitted_after(plan, len(plan.steps))
    intact, _ = whole(analysis(case, fitted))
    on_crown = [arm.strut for arm in case.frame.hub("H26").arms if arm.strut in fitted.struts]
    lost = tuple(without(case, fitted, strut, ()) for strut in (*on_crown, "S001"))
    assert intact.stands
    assert [each.stands for each in lost] == [False] * 3 + [True]
    assert all("H26" in each.moves for each in lost[:3])
    assert next(worst_of(lost)).use == math.inf
    struts = forgives_answers(replace(found[-1], struts=lost))[2]
    assert struts.sign == "stop"
    assert in_words(struts.head) == "3 struts of 4 must not be lost: it falls or breaks without any of them"
    assert any("it folds" in in_words(line) for line in struts.lines)


def test_what_is_not_worked_out_yet_is_said_to_be_unknown(found):
    first, last = found[0], found[-1]
    assert (first.to_do, last.to_do) == (36, 0)
    assert [answer.sign for answer in forgives_answers(first)] == ["waits"] * 4
    assert [len(last.struts), len(last.hubs)] == [25, 11]
    answer = forgives_answers(first)[2]
    assert (answer.sign, in_words(answer.head)) == ("waits", "It is being worked out")
    assert in_words(answer.lines[0]) == ("The loss of 36 parts is still to be worked out: until then count on nothing.")


def test_the_answer_comes_first_and_says_what_governs(found):
    hang, ladder, struts, hubs = forgives_answers(found[-1])
    assert (hang.sign, in_words(hang.head)) == ("stop", "Nobody may hang from it")
    assert in_words(hang.lines[0]).startswith("The weakest is ")
    assert in_words(hang.lines[0]).endswith(" folds first.")
    assert (ladder.sign, in_words(ladder.head)) == ("stop", "No ladder may lean on it")
    assert in_words(struts.head) == "Without any one strut the rest stands: keep off it until that is mended"
    assert in_words(hubs.head) == "Without any one hub the rest stands: keep off it until that is mended"
    assert in_words(struts.lines[0]).startswith("Whichever is lost: push no hub with more than ")


def test_a_frame_that_does_not_stand_forgives_nothing(found):
    (answer,) = forgives_answers(Forgives((), (), replace(found[-1].whole, stands=False, moves=("H01",))))
    assert in_words(answer.head).startswith("It does not stand by itself, so it forgives nothing")


def test_the_table_has_every_place_once(found):
    rows = list(forgives_rows(found[-1]))
    assert len(rows) == 1 + 11 + 25
    assert all(len(row) == len(COLUMNS) for row in rows)
    assert rows[0][:5] == ("", "", "", "", "")
    by_place = {row[0]: dict(zip(COLUMNS, row, strict=True)) for row in rows}
    assert by_place["S021"]["hang_governs"].startswith("tube S0")
    assert float(by_place["S021"]["hang_n"]) < 100.0
    assert by_place["H01"]["hang_n"] == ""                       # a foot
    assert by_place["H01"]["lost_stands"] == "yes"
