"""The verdict over random states of three frames, against a plain analysis: nothing green that is not borne."""

from dataclasses import replace

import pytest
import verdict_held
from verdict_held import hold, leaned_on, pocket_copy_and_terminal
from verdict_walks import MORNING, Walk, design, sites

from fieldapp.frame.strength import StrengthSection
from fieldapp.kit import build_kit
from fieldapp.log.fold import fold
from fieldapp.log.rules import Setting
from fieldapp.plan.hand_lifts import hand_lifts
from fieldapp.plan.planner import way_plans
from fieldapp.reports.exchange import next_tick
from fieldapp.reports.standing import Standing, standing
from fieldapp.reports.verdict import Hands, going_in, steps_now, together, verdict_of
from fieldapp.web.cards.step_view import CardReader, step_card
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.raising.start import start_view
from fieldapp.wording.lifts import props_said
from fieldapp.wording.standing import headline
from fieldapp.wording.strike import strike_lines
from fieldapp.wording.verdict import verdict_word

LEANED = 8
"""One state in so many is also held to what may be leaned on: its limits cost more than all else."""


OUT_OF = {"ground": 8, "pegs": 8, "lift": 4, "heavy": 3}
"""So many states at least in which a part is out, people named, struts still to come back."""


@pytest.fixture(scope="session")
def frames():
    return sites()


@pytest.mark.parametrize(("name", "damages", "walks", "each"), [
    ("ground", True, 4, 8), ("pegs", False, 4, 8), ("lift", True, 3, 6), ("heavy", False, 3, 6)])
def test_random_states(frames, name, damages, walks, each):
    out = 0
    for seed in range(walks):
        for number, state in enumerate(Walk(frames[name], f"{name} {seed}", damages=damages).states(each)):
            hold(frames[name], state)
            if number % LEANED == 0:
                leaned_on(frames[name], state)
                pocket_copy_and_terminal(frames[name], state)
            out += state.exchanging is not None and not all(map(state.is_fitted, state.exchanging.takes))
    assert out >= OUT_OF[name], "too few states in the middle of an exchange"


def test_the_plain_analysis_catches_a_verdict_that_lies(frames, monkeypatch):
    """Each as if a line were lost: nothing breaks, nobody holds, an arm bears five times as much."""
    heavy, ground, pegs = frames["heavy"], frames["ground"], frames["pegs"]
    two_of_three = after(ground, 5).if_filled(ground.plan.steps[5].sequence[0]).if_filled("H06")
    true = Standing.verdict.fget
    with monkeypatch.context() as lie:
        lie.setattr(Standing, "verdict", property(lambda of: true(of).replace("clear", "hold")))
        for asks in (going_in, together):
            lie.setattr(asks, "clears", lambda *_asked: False)
        with pytest.raises(AssertionError, match="something snaps under the weight"):
            hold(heavy, replace(after(heavy, 7), last_number=1))
    with monkeypatch.context() as lie:
        lie.setattr(going_in, "hands_in", lambda *_asked: Hands())
        with pytest.raises(AssertionError, match="folds, all held"):
            hold(ground, replace(two_of_three, last_number=1))
    stands = replace(after(pegs, 9), held_feet=dict.fromkeys(("H01", "H02", "H03", "H04", "H05"), "pegs"))
    leaned_on(pegs, stands)
    with monkeypatch.context() as lie:
        lie.setattr(verdict_held, "standing", lambda site, state: replace(told := standing(site, state), limits=tuple(
            replace(limit, value=5 * limit.value) for limit in told.limits)))
        with pytest.raises(AssertionError, match="an arm snaps at it"):
            leaned_on(pegs, stands)


def test_an_exchange_names_its_hands_before_it_begins(frames, monkeypatch):
    site = frames["ground"]
    walk = Walk(site, "exchange", damages=False)
    walk.state = after(site, 8)
    walk.begin_exchange("H01")
    while next_tick(walk.state, walk.state.exchanging).place != "H01":
        walk.go_on_exchanging(1.0)
    hold(site, walk.state)
    assert not walk.log("strike_started")       # its holds would be forgotten
    assert standing(site, walk.state).wind is None      # hands stand no wind, though the frame stands with them
    assert standing(site, after(site, 8)).wind is not None
    nobody = replace(walk.state, exchanging=replace(walk.state.exchanging, holds=()), last_number=99)
    assert walk.state.exchanging.holds
    with pytest.raises(AssertionError, match="nobody named before it began"):
        hold(site, nobody)


def after(site, count):
    """As planned, so many steps."""
    state = fold(site.kit, ())
    for step in site.plan.steps[:count]:
        for place in step.places:
            state = state.if_filled(place)
    return state


def test_what_is_missing_below_is_the_headline_of_everybody(frames):
    site, done = frames["ground"], after(frames["ground"], 9)
    skipped = done.if_empty(["S009"])
    stage = verdict_of(site, skipped)
    assert (stage.below, stage.places) == (("S009",), ("S009",))
    assert verdict_of(site, skipped, "H10").first[0] == stage.first[0]
    assert verdict_of(site, done, "H10").may
    part = done.fitted["S009"]
    hurt = replace(done, parts={**done.parts, part: replace(done.parts[part], condition="quarantined")})
    step = site.plan.step_for("S009").number
    assert verdict_of(site, hurt, step).sign == verdict_of(site, hurt, "S009").sign == "stop"
    assert [one.need for one in verdict_of(site, hurt).first] == ["replace"]
    assert not verdict_of(site, hurt).places
    assert [(way.act, way.places) for way in verdict_of(site, hurt).way_out] == [("in", ("S009",))]     # it stands


def test_a_step_that_would_break_is_never_open_and_a_way_back_is_told(frames):
    site = frames["heavy"]      # rods of 16 mm under hubs of 5 kg: the second hub of the second ring is too much
    state = after(site, 6)
    assert (verdict_of(site, state, 7).sign, verdict_of(site, state).places) == ("stop", ())
    assert [way.act for way in verdict_of(site, state).way_out] == ["out"]
    assert verdict_of(site, after(site, 7)).first[0].need == "clear"


def test_nothing_comes_out_that_leaves_a_stage_that_breaks(frames):
    kit = build_kit(design(1, "2/3", outer_mm=20.0, hub_kg=7.0))
    site = Setting(kit, way_plans(kit, "ring by ring")[0])
    state = replace(after(site, 10), phase="striking")      # the ring bears closed, and breaks one hub short
    assert verdict_of(site, state).now.verdict == "stands"
    assert verdict_of(site, state, "H10").sign == "waits"
    assert verdict_of(site, state, site.plan.steps[9].sequence[-1]).first[0].need == "not so"
    assert not verdict_of(site, state).places
    assert verdict_of(site, state).way_out


def test_inside_a_step_struts_may_hang_before_their_hub_or_come_after_it(frames):
    site, state = frames["ground"], after(frames["ground"], 5)
    strut, other, hub = site.plan.steps[5].sequence
    found = verdict_of(site, state, strut)
    assert found.may
    assert found.hands.in_hand == (strut,)      # its free end
    assert verdict_of(site, state.if_filled(strut), hub).may
    assert verdict_of(site, state.if_filled(hub), other).may
    assert [hold.hub for hold in verdict_of(site, state, hub).hands.after] == [hub]
    assert not site.plan.lacks(strut, state.is_fitted)


def test_what_would_be_too_much_with_the_others_waits_for_them(frames, monkeypatch):
    site = frames["lift"]
    state = next(state for state in (after(site, count) for count in range(1, 12)) if len(steps_now(site, state)) > 1)
    one, other = (site.plan.steps[number - 1] for number in steps_now(site, state)[:2])
    place = next(place for place in other.sequence if verdict_of(site, state, place).may)
    both = {*one.places, *other.places}
    clears = together.clears
    monkeypatch.setattr(together, "clears", lambda site, state: both <= set(state.fitted) or clears(site, state))
    told = replace(state, last_number=7)      # asked anew
    assert one.number in steps_now(site, told)
    assert other.number not in steps_now(site, told)
    assert verdict_of(site, told, place).sign == "waits"
    assert set(one.sequence) <= set(verdict_of(site, told, place).waits_for)


def test_nothing_is_lifted_before_its_piece_is_whole(frames):
    site = frames["lift"]
    lift = next(step for step in site.plan.steps if step.lift_mm > 0.0)
    assert verdict_of(site, after(site, lift.number - 1), lift.number).may
    waits = verdict_of(site, after(site, lift.number - 2), lift.number)
    assert (waits.sign, set(waits.waits_for)) == ("waits", set(site.plan.steps[lift.number - 2].places))


def test_the_card_of_a_strike_says_how_far_to_lower_wherever_the_raise_lifted(frames):
    site = frames["lift"]
    lifted = [step for step in site.plan.steps if step.lift_mm > 0.0]
    assert lifted
    for step in lifted:
        state = replace(after(site, step.number), phase="striking")
        card = step_card(SiteMoment(site, state), site, step, CardReader("phone", MORNING))
        told = f"by {step.lift_mm / 1000:.2f} m"
        assert [told in line for line in card.first if "Then lower" in line] == [True], step.hub
        lift, = (one for one in hand_lifts(site.kit, site.plan) if one.step == step.number)
        assert any(props_said(lift, "down") in line for line in card.order)
        assert card.lift == step.number


def test_start_page_and_card_of_a_strike_say_the_same_and_nobody_holds_what_stands(frames):
    for name, count in (("ground", 11), ("ground", 8), ("ground", 3), ("lift", 12), ("lift", 9)):
        site = frames[name]
        state = replace(after(site, count), phase="striking")
        told = start_view(SiteMoment(site, state), site)
        step = site.plan.step_for(told.next_place)
        card = step_card(SiteMoment(site, state), site, step, CardReader("phone", MORNING))
        full = strike_lines(site.kit, site.plan, step, verdict_of(site, state, step.number))
        assert set(full) <= set(told.more) & set(card.order), (name, count)
        keep = f"Keep {step.hub} in hand while its struts come off."
        brief = any(line.startswith(f"Keep {step.hub} ") for line in card.first)
        assert (keep in told.more) == brief == (step.hub not in step.stands_on and len(step.struts) > 0), (name, count)


def test_nothing_is_green_of_parts_that_nobody_tested(frames):
    known = frames["ground"]
    old = known.kit.design.model_copy(update={"strength": StrengthSection(struts="unknown")})
    site, state = Setting(build_kit(old), known.plan, unfit=lambda *_moment: ()), after(known, 5)
    for place in verdict_of(known, state).places:
        found = verdict_of(site, state, place)
        assert (found.sign, found.may, found.governs) == ("unknown", True, None)
        assert verdict_word(found, old.ground) == "Its turn. Strength not tested: ask the chief"
        assert found.hands == verdict_of(known, state, place).hands
    assert verdict_of(site, state, 6).sign == "unknown"
    assert verdict_of(site, state).places == verdict_of(known, state).places
    assert headline(verdict_of(site, state).now) == ("Its shape stands by itself. What its parts bear is unknown: not "
                                                     "tested.")
    begins = verdict_of(site, fold(site.kit, ()), "H01")        # not without a raise, which asks who goes on, and why
    assert (begins.sign, begins.first[0].need) == ("waits", "not begun")
