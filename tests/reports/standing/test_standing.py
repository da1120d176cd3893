"""What really stands, on the demo kit: held against the plan step by step, out of order, damaged, mended, carried."""

import gettext
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_frame import small_design

from fieldapp.base import words
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.damage import damages
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.kinds import DamagedData
from fieldapp.log.rules import Setting, decide
from fieldapp.plan.bounds import SOURCES
from fieldapp.plan.case import case_of
from fieldapp.plan.order import judged_plan
from fieldapp.plan.planner import way_plans
from fieldapp.plan.stages import Fitted, analysis, fitted_after
from fieldapp.reports.damage import damage_answer
from fieldapp.reports.parts.own_numbers import own_numbers
from fieldapp.reports.parts.replacements import replacements
from fieldapp.reports.raising import places_of
from fieldapp.reports.raising.lifts import next_lift
from fieldapp.reports.raising.pairing import pairing
from fieldapp.reports.standing import clears, standing
from fieldapp.reports.standing.out_of_order import consequence
from fieldapp.reports.standing.strike import strike
from fieldapp.statics.lift import lift
from fieldapp.wording.ahead import after_words, lift_words
from fieldapp.wording.damage import damage_words
from fieldapp.wording.seat import pairing_words
from fieldapp.wording.standing import headline, limit_words, one_hold

MORNING = datetime(2026, 9, 5, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def small(kit):
    """11 hubs of the same make: what holds at every step of any frame is asked here."""
    design = kit.design
    return build_kit(design.model_copy(update={"frame": design.frame.model_copy(update={
        "frequency": 1, "cut": "2/3", "level_base": False, "doorway": False, "diameter_m": 2.6})}))


@pytest.fixture(scope="module")
def site(kit):
    return Setting(kit, way_plans(kit, "ring by ring")[0])


def with_fitted(kit, places):
    """A state in which these places hold the parts made for them."""
    blank = fold(kit, ())
    fitted = {place: kit.by_place[place].id for place in places}
    parts = {**blank.parts, **{part: replace(blank.parts[part], fitted_at=place) for place, part in fitted.items()}}
    return replace(blank, fitted=fitted, parts=parts)


def after_steps(site, count):
    return with_fitted(site.kit, dict.fromkeys(place for step in site.plan.steps[:count] for place in places_of(step)))


def logged(site, state, *wishes):
    """The state after entries that the rules admit: (kind, part, place, data)."""
    now = MORNING
    for number, (kind, part, place, data) in enumerate(wishes):
        request = Request(f"key {len(state.entries)} {number}", kind, part, place, data=data, chief=True)
        entry = decide(site, state, request, now)
        assert isinstance(entry, Entry), entry
        state, now = apply(state, entry), now + timedelta(minutes=1)
    return state


def utilisation_of(now, hub):
    return next(one for one in now.arms if one.hub == hub)


def test_holds_are_the_plans_at_every_step():
    kit = build_kit(small_design())
    site = Setting(kit, judged_plan(kit).plan)
    for number, step in enumerate(site.plan.steps, start=1):
        now = standing(site, after_steps(site, number))
        assert set(now.held_hubs) == set(step.holds), step.number
        assert now.weakest is None or now.weakest.utilisation == pytest.approx(step.use_weight), step.number


@pytest.mark.parametrize("way", ["crown first", "crown set on last", "wedge by wedge"])
def test_every_way_rests_on_what_its_plan_says(way):
    kit = build_kit(small_design())
    site = Setting(kit, way_plans(kit, way)[0])
    for number, step in list(enumerate(site.plan.steps, start=1))[1::2]:
        now, planned = standing(site, after_steps(site, number)), fitted_after(site.plan, number)
        assert set(now.stands_on) == set(planned.stands_on), step.number
        assert set(now.carried_at) == set(planned.carried_at), step.number
        assert set(now.held_hubs) == set(step.holds), step.number


def test_a_hub_with_a_strut_or_two_in_changes_hands_as_little_as_it_can(site):
    """Between two steps: the hub in the hand comes on top of what the plan has held."""
    at = 20
    before, step = after_steps(site, at), site.plan.steps[at]
    now = standing(site, with_fitted(site.kit, (*before.fitted, step.hub)))
    assert now.in_hand == (step.hub,)
    assert set(now.held_hubs) == {*site.plan.steps[at - 1].holds, step.hub}
    assert now.wind == standing(site, before).wind, "a hub in the hand is no reason to say nothing of the wind"


def test_a_removed_strut_is_judged_as_the_stage_without_it(site):
    state = after_steps(site, 45)
    without = replace(state, fitted={place: part for place, part in state.fitted.items() if place != "S107"})
    case = case_of(site.kit)
    frame = site.kit.frame
    stage = analysis(case, Fitted(
        tuple(hub.name for hub in frame.hubs if hub.name in without.fitted),
        tuple(strut.name for strut in frame.struts if strut.name in without.fitted),
        stands_on=tuple(hub.name for hub in frame.hubs if hub.on_ground and hub.name in without.fitted)))
    now = standing(site, without)
    assert now.design_utilisation == pytest.approx(stage.design_utilisation)
    assert len(now.held_hubs) == len(stage.holds) > len(standing(site, state).held_hubs)
    assert not stage.motions.without(now.held_hubs).count


def test_an_arm_mended_to_half_is_used_twice_as_much(site):
    state = after_steps(site, 60)
    worst = standing(site, state).weakest
    part = state.fitted[worst.hub]
    broken = logged(site, state, ("damaged", part, None, {"what": "arm_cracked", "arm": worst.arm, "severity": "bad"}))
    assert worst.strut in {end.strut for end in standing(site, broken).loose_ends}
    mended = logged(site, broken, ("repaired", part, None, {"how": "cleat_and_glue", "by": "carpenter",
                                                           "arm": worst.arm, "capacity": 0.5}))
    now = standing(site, mended)
    assert own_numbers(mended, None).arms == ((worst.hub, worst.arm, 0.5),)
    assert utilisation_of(now, worst.hub).utilisation == pytest.approx(2 * worst.utilisation)
    assert not now.loose_ends


GO_ON = "Go on. {} may stay in: hold nothing more, do not load it. Replace it when there is time."


@pytest.mark.parametrize(("steps", "hub", "verdict", "first"), [
    (30, "H03", "hold and replace", "Hold H17 and H38 and replace H03."),
    (60, "H03", "go on", GO_ON.format("H03")),
    (60, "H61", "go on", GO_ON.format("H61")),
])
def test_a_snapped_arm_in_a_base_hub_and_in_the_crown(site, steps, hub, verdict, first):
    state, part = after_steps(site, steps), site.kit.by_place[hub].id
    damage = DamagedData(what="arm_snapped", arm=1)
    answer = damage_answer(site, state, part, damage=damage, now=MORNING)
    strut = site.kit.frame.hub(hub).arms[0].strut
    assert [end.strut for end in answer.after.loose_ends] == [strut]
    assert (answer.verdict, damage_words(answer)[0]) == (verdict, first)
    assert all(one.after > one.before for one in answer.neighbours)
    assert answer.neighbours
    entry = ("damaged", part, None, {"what": "arm_snapped", "arm": 1})
    again = damage_answer(site, logged(site, state, entry), part, damage=damage, now=MORNING)
    assert again == answer, "asked after it is logged"


def test_weaker_arms_turn_go_on_into_hold_and_into_stop(monkeypatch):
    """Arms that broke at 2.9 N, a fortieth of the demo's: on feet that stay the frame stands, but can lose little."""
    monkeypatch.delitem(SOURCES, "feet")
    design = orchard_hall()
    weak = build_kit(design.model_copy(update={
        "raising": design.raising.model_copy(update={"stands": "a weekend"}),
        "hub": design.hub.model_copy(update={"test_loads_n": (2.85, 2.94, 2.92, 2.82)})}))
    site = Setting(weak, way_plans(weak, "ring by ring")[0])
    state = after_steps(site, len(site.plan.steps))
    assert standing(site, state).verdict == "stands"
    lost = damage_answer(site, state, weak.by_place["H05"].id, damage=DamagedData(what="glue_open"), now=MORNING)
    assert lost.after.design_utilisation > 1.0
    assert (lost.verdict, lost.holds) == ("stop", ())
    assert damage_words(lost)[0].startswith("Stop. Everybody out from under the frame")
    propped = damage_answer(site, state, weak.by_place["S040"].id, damage=DamagedData(what="buckled"), now=MORNING)
    assert (propped.verdict, [hold.hub for hold in propped.holds]) == ("hold and replace", ["H28"])
    assert propped.after.design_utilisation <= 1.0
    assert "not lean" in " ".join(limit_words(propped.after, "lean"))


def test_damage_in_the_stores_says_when_the_part_is_needed_and_who_steps_in(site):
    state = after_steps(site, 30)
    answer = damage_answer(site, state, site.kit.by_place["H55"].id,
                           damage=DamagedData(what="arm_snapped", arm=1), now=MORNING)
    assert (answer.verdict, answer.stores.step, answer.stores.steps_until) == (
        "in the stores", site.plan.step_for("H55").number, site.plan.step_for("H55").number - 31)
    found = replacements(site, state, "H55", now=MORNING)
    spares = [one.home is None for one in found.candidates]
    assert spares == sorted(spares, reverse=True), "spares first"
    later = [one.steps_later for one in found.candidates if one.home]
    assert later == sorted(later, reverse=True), "then those needed last"
    exchange = found.exchange(found.candidates[0])
    after = logged(site, state, (exchange.kind, exchange.part, exchange.place, exchange.data))
    assert after.allocation["H55"] == exchange.part


def test_no_part_left_says_what_to_make(site):
    state = after_steps(site, 60)
    parts = {part: replace(past, missing=True) if past.fitted_at is None else past
             for part, past in state.parts.items()}
    answer = damage_answer(site, replace(state, parts=parts), site.kit.by_place["S073"].id,
                           damage=DamagedData(what="buckled"), now=MORNING)
    length_mm = site.kit.by_place["S073"].cut_length_mm
    assert damage_words(answer)[-2:] == (
        "No part is left that fits S073.", f"Make a strut of class A: cut it {length_mm:.1f} mm long.")


def test_fitting_before_its_turn_says_what_is_then_held_and_what_needs_play(site):
    state = after_steps(site, 22)
    found = consequence(site, state, "H35")
    assert found.waits_for == ("H19", "H36")
    assert [hold.hub for hold in found.holds] == ["H35"]
    strut = site.kit.frame.strut("S068")
    assert found.play == ("S068",)
    assert {strut.end_1.hub, strut.end_2.hub} == {"H19", "H35"}, "H19 now goes in amid three others"
    in_turn = consequence(site, state, site.plan.steps[22].hub)
    assert in_turn.in_plan
    assert not in_turn.waits_for
    assert in_turn.play == ()


def test_a_strut_goes_into_two_hubs_and_no_other(site):
    state, strut = after_steps(site, 0), site.kit.by_place["S073"].id
    found = [pairing(site.kit, state, strut=strut, hub=site.kit.by_place[hub.name].id) for hub in site.kit.frame.hubs]
    place = site.kit.frame.strut("S073")
    assert [(one.hub_place, one.seat.arm, one.seat.end) for one in found if one.fits] == [
        (place.end_1.hub, place.end_1.arm, 1), (place.end_2.hub, place.end_2.arm, 2)]
    no = next(one for one in found if one.hub_place == "H01")
    words = pairing_words(no, site.kit.design.hub.held_by.assembly)
    assert words[0] == ("No, not as planned." if no.could_go else "No.")
    assert "S073 goes from H22 (end 1) to H37 (end 2)." in words


def test_a_turned_spare_is_named_by_the_arms_marked_on_it(site):
    state = after_steps(site, 0)
    spare = next(part for part in site.kit.parts if part.is_spare and part.part_class == site.kit.by_place[
        "H22"].part_class)
    state = logged(site, state, ("exchanged", spare.id, "H22", {}))
    seat = pairing(site.kit, state, strut=site.kit.by_place["S073"].id, hub=spare.id).seat
    turn = replacements(site, logged(site, after_steps(site, 0)), "H22", now=MORNING).candidates[0].turn
    assert turn.place_arm(seat.arm) == site.kit.frame.hub("H22").arm_at("S073").number


def test_a_lift_of_crown_first_is_the_lift_of_its_statics(kit):
    site = Setting(kit, way_plans(kit, "crown first")[0])
    first = next(number for number, step in enumerate(site.plan.steps) if step.lift_mm > 0)
    order = next_lift(site, after_steps(site, first))
    fitted = fitted_after(site.plan, first)
    alone = lift(case_of(kit).model, case_of(kit).tubes, fitted.hubs, site.plan.steps[first].carried_at, fitted.struts)
    assert order.steps_until == 0
    assert order.hubs == alone.lifters
    carried = analysis(case_of(kit), replace(fitted, stands_on=(), carried_at=site.plan.steps[first].carried_at))
    bears = carried.loaded.case
    with_fit = lift(bears.model, bears.tubes, fitted.hubs, site.plan.steps[first].carried_at, fitted.struts)
    assert order.lag.frame.value == pytest.approx(with_fit.lag_mm, rel=1e-6)
    assert with_fit.lag_mm < alone.lag_mm
    assert order.arm_utilisation == pytest.approx(alone.arm_utilisation, rel=1e-6)
    assert lift_words(order)[0].startswith("Lift now: 5 people, one at each of H56,")


@pytest.mark.parametrize("way", ["ring by ring", "crown set on last"])
def test_the_strike_takes_all_out_and_is_held_as_the_raise_was(small, way):
    kit, site = small, Setting(small, way_plans(small, way)[0])
    state = after_steps(site, len(site.plan.steps))
    holds = {step.number: set(step.holds) for step in site.plan.steps}
    while state.fitted:
        out = strike(site, state).next[0]
        assert out.safe
        if len(strike(site, state).next) == 1:
            assert set(out.after.held_hubs) == holds.get(out.step - 1, set())
        state = with_fitted(kit, [place for place in state.fitted if place not in out.places])
    assert strike(site, state).next == ()


def test_what_is_still_out_and_what_lies_in_which_bundle(site):
    place_and_bundle = (("H01", "hubs 1"), ("S001", "C 1"))
    fits = [("fitted", site.kit.by_place[place].id, place, {}) for place in ("H01", "S001", "H02")]
    state = logged(site, fold(site.kit, ()), ("raise_started", None, None, {"name": "harvest week"}), *fits,
                   ("strike_started", None, None, {}))
    stored = [("stored", site.kit.by_place[place].id, None, {"bundle": bundle, "came_in": ("wet",)})
              for place, bundle in place_and_bundle]
    state = logged(site, state, *stored, ("taken_down", site.kit.by_place["H02"].id, None, {}))
    found = strike(site, state)
    assert found.still_out == (site.kit.by_place["H02"].id,)
    hubs = found.bundles[1]
    assert (hubs.name, [one.part for one in hubs.parts]) == ("hubs 1", [site.kit.by_place["H01"].id])
    assert hubs.to_dry == hubs.to_look_at == (site.kit.by_place["H01"].id,)


def test_damp_hubs_and_long_struts_count_with_their_own_numbers(site):
    checked = replace(site, checklist=default_checks(site.kit.design))
    state = after_steps(site, 60)
    before = standing(checked, state)

    def measured(place, item, value, unit):
        part = state.fitted[place]
        past = replace(state.parts[part], measured=((item, value, unit),))
        return replace(state, parts={**state.parts, part: past})

    hub = before.weakest.hub
    damp = standing(checked, measured(hub, "moisture", 25.0, "%"))
    expected = before.weakest.utilisation / (0.7 / 0.9)     # EN 1995-1-1 Table 3.1
    assert utilisation_of(damp, hub).utilisation == pytest.approx(expected)
    cut_mm = site.kit.by_place["S100"].cut_length_mm
    long = standing(checked, measured("S100", "length", cut_mm + 5.0, "mm"))
    longer = standing(checked, measured("S100", "length", cut_mm + 10.0, "mm"))
    assert long.locked_utilisation > 0.0
    assert longer.locked_utilisation == pytest.approx(2 * long.locked_utilisation)
    assert longer.design_utilisation > long.design_utilisation > before.design_utilisation
    assert before.design_utilisation == pytest.approx(1.35 * before.weakest.utilisation)


class Shouting(gettext.NullTranslations):
    """A language in which all is said in capitals."""

    def gettext(self, message):
        return re.sub(r"\{\w+\}", lambda gap: gap[0].lower(), message.upper())


def test_an_answer_kept_in_one_language_is_told_in_another(site):
    state = with_fitted(site.kit, ["H40"])
    words.speak(Shouting())
    now = standing(site, state)
    assert one_hold(now.holds[0]).startswith("H40: ONE PERSON OR A PROP")
    words.speak(None)
    assert one_hold(now.holds[0]).startswith("H40: one person or a prop, from the step ladder, feet at ")


PLACES = [*(f"H{n:02d}" for n in range(1, 12)), *(f"S{n:03d}" for n in range(1, 26))]


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), first=st.integers(0, 11), extra=st.sets(st.sampled_from(PLACES), max_size=6),
       gone=st.sets(st.sampled_from(PLACES), max_size=6), place=st.sampled_from(PLACES))
def test_any_fitted_places_give_an_answer(small, data, first, extra, gone, place):
    kit, site = small, Setting(small, way_plans(small, "ring by ring")[0])
    state = with_fitted(kit, ({*after_steps(site, first).fitted} | extra) - gone)
    part = kit.by_place[place]
    damage = data.draw(st.sampled_from(damages(part.kind)))
    spot = {damage.where: 1} if damage.where else {}
    answer = damage_answer(site, state, part.id, damage=DamagedData(what=damage.name, words="seen", **spot),
                           now=MORNING)
    now = standing(site, state)
    assert headline(now)
    assert damage_words(answer)
    assert isinstance(after_words(consequence(site, state, place)), tuple)
    assert now.verdict == "clear" or now.stands_held
    assert clears(site, state) == (now.verdict == "clear")
