"""Progress, pace, history and substitutes of a small frame, told by a log of our own making."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
import scipy.stats

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.interchange import hub_turns
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.rules import Setting, decide
from fieldapp.plan.order import level_order
from fieldapp.reports.parts.history import breaks, part_history, part_uses
from fieldapp.reports.parts.own_numbers import OwnNumbers, own_numbers, part_strengths
from fieldapp.reports.parts.replacements import substitutes, to_make
from fieldapp.reports.raising import (
    bundles,
    by_team,
    places_of,
    progress,
    strike_progress,
)
from fieldapp.reports.raising.pace import _spread, pace, unevenness, working_minutes
from fieldapp.reports.verdict import places_now

MORNING = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
SMALL = Design.model_validate({
    "frame": {"prefix": "OH", "frequency": 2, "cut": "1/2", "diameter_m": 5.0, "level_base": False},
    "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0},
    "spares": {"hubs_most_common": 1, "hubs_each_other": 1, "struts_each": 1}, "crew": {"minutes_per_step": 5.0}})


class Day:
    """A log in memory; time goes on by a minute an entry."""

    def __init__(self, site):
        self.site, self.state, self.now, self.sent = site, fold(site.kit, ()), MORNING, 0

    def log(self, kind, part=None, place=None, **data):
        self.sent += 1
        request = Request(f"key {self.sent}", kind, part, place, data=data, chief=True)
        outcome = decide(self.site, self.state, request, self.now)
        assert isinstance(outcome, Entry), outcome
        self.state = apply(self.state, outcome)
        self.now += timedelta(minutes=1)
        return outcome

    def fit(self, *places):
        for place in places:
            self.log("fitted", self.state.allocation[place])


@pytest.fixture(scope="module")
def site():
    kit = build_kit(SMALL)
    return Setting(kit, level_order(kit.frame, kit.design))


@pytest.fixture
def day(site):
    return Day(site)


def test_progress_counts_every_place_of_the_plan_once(day):
    plan = day.site.plan
    start = progress(plan, day.state)
    assert (start.fitted, start.needed) == (0, 26 + 65)
    assert [ring.level for ring in start.levels] == [1, 2, 3, 4]
    day.fit("H01", "H02", "S001")
    assert [ring.fitted for ring in progress(plan, day.state).levels] == [3, 0, 0, 0]
    for step in plan.steps:
        day.fit(*(place for place in places_of(step) if not day.state.is_fitted(place)))
    assert progress(plan, day.state).share == 1.0
    assert places_now(day.site, day.state) == ()


def test_what_may_go_in_says_when_its_part_is_broken(day):
    assert [(ready.place, ready.usable) for ready in places_now(day.site, day.state)] == [("H01", True)]
    day.log("damaged", "OH-H01-6", what="soaked", severity="bad")
    assert places_now(day.site, day.state)[0].usable is False


def test_teams_get_all_of_it_once_and_whole_steps(day):
    for step in day.site.plan.steps[:10]:
        day.fit(*places_of(step))
    ready = places_now(day.site, day.state)
    shared = by_team(ready, 3)
    assert sorted(place.place for team in shared for place in team) == sorted(place.place for place in ready)
    steps = [{place.step for place in team} for team in shared]
    assert not steps[0] & steps[1]
    assert not steps[1] & steps[2]
    assert by_team((), 2) == ((), ())


def test_pace_comes_from_the_design_until_there_are_entries(day):
    first = pace(day.site.kit, day.site.plan, day.state, MORNING)
    assert (first.source, first.remaining, first.earliest) == ("design", 91, None)
    assert first.finish == MORNING + timedelta(minutes=26 * 5)


def test_even_pace_of_one_a_minute_goes_on_as_it_was(day):
    for step in day.site.plan.steps[:10]:
        day.fit(*places_of(step))
    fitted = len(day.state.fitted)
    now = pace(day.site.kit, day.site.plan, day.state, day.now)
    assert (now.source, now.places_per_hour) == ("this raise", pytest.approx(60.0))
    assert now.finish == day.now + timedelta(minutes=91 - fitted)
    assert day.now < now.earliest < now.finish < now.latest


@pytest.mark.parametrize(("done", "left"), [(10, 10), (60, 20), (20, 60)])
def test_range_of_even_work_is_that_of_the_f_distribution(done, left):
    """Upper 10 % points of F with 2m and 2n degrees of freedom: NIST/SEMATECH e-Handbook, 1.3.6.7.3.

    F(20, 20) as printed there, from memory; the others from scipy.stats, which is not what the code calls.
    """
    low, high = _spread(done, left, 1.0)
    assert high == pytest.approx(scipy.stats.f.ppf(0.9, 2 * left, 2 * done), rel=1e-9)
    assert low == pytest.approx(1.0 / scipy.stats.f.ppf(0.9, 2 * done, 2 * left), rel=1e-9)
    if (done, left) == (10, 10):
        assert high == pytest.approx(1.794, abs=5e-4)
    assert _spread(done, left, 4.0)[1] > high


def test_breaks_are_cut_and_uneven_work_widens_the_range():
    times = [MORNING, MORNING + timedelta(minutes=5), MORNING + timedelta(minutes=95)]
    assert working_minutes(times) == (0.0, 5.0, 25.0)
    assert unevenness([float(minute) for minute in range(60)]) == 1.0
    assert unevenness([*[1.0] * 30, *[25.0] * 2, *[45.0] * 28, 60.0]) > 5.0


def test_history_keeps_what_was_withdrawn_with_its_reason_and_counts_use_by_raise(day):
    day.log("raise_started", name="first")
    day.fit("H01")
    day.log("damaged", "OH-H01-6", what="arm_snapped", arm=1, words="stepped on")
    wrong = day.log("damaged", "OH-H01-6", what="soaked")
    day.log("withdrawn", entry=wrong.key, reason="another hub")
    day.log("damaged", "OH-H01-6", what="label_gone")
    day.log("strike_started")
    day.log("stored", "OH-H01-6", bundle="box 1")
    day.log("raise_ended")
    lines = part_history(day.state, "OH-H01-6")
    assert [(line.entry.kind, line.standing, line.why, line.raise_name) for line in lines] == [
        ("fitted", "counts", "", "first"), ("damaged", "counts", "", "first"),
        ("damaged", "withdrawn", "another hub", "first"), ("withdrawn", "counts", "", "first"),
        ("damaged", "counts", "", "first"), ("stored", "counts", "", "first")]
    use = part_uses(day.state)[0]
    assert (use.part, use.raises, use.fitted, use.damaged) == ("OH-H01-6", 1, 1, 1), "a lost label is no damage"
    assert [(broken.what, broken.place, broken.part_class, broken.raise_name) for broken in breaks(day.state)] == [
        ("arm_snapped", "H01", "1L", "first")]
    assert [broken.place for broken in breaks(day.state)] == ["H01"]
    assert bundles(day.state) == {"box 1": ("OH-H01-6",)}


def test_the_next_raise_expects_the_pace_of_the_last(day):
    day.log("raise_started", name="first")
    places = [place for step in day.site.plan.steps[:6] for place in places_of(step)]
    day.fit(*places)
    day.log("strike_started")
    for place in reversed(places):
        day.log("stored", day.state.fitted[place], bundle="box 1")
    day.log("raise_ended")
    strike = strike_progress(day.state)
    assert (len(strike.stored), len(strike.standing), len(strike.loose)) == (len(places), 0, 97 - len(places))
    day.log("raise_started", name="second")
    now = pace(day.site.kit, day.site.plan, day.state, day.now)
    assert (now.source, now.places_per_hour, now.remaining) == ("earlier raise", pytest.approx(60.0), 91)


def test_substitutes_are_spares_first_then_what_is_needed_last(day):
    found = substitutes(day.site.plan, day.state, "H01")
    assert [sub.part for sub in found] == ["OH-H27-J", "OH-H09-P", "OH-H07-T", "OH-H05-X", "OH-H03-2"]
    day.log("damaged", "OH-H27-J", what="soaked", severity="bad")
    day.fit("H09")
    assert [sub.part for sub in substitutes(day.site.plan, day.state, "H01")] == ["OH-H07-T", "OH-H05-X", "OH-H03-2"]
    assert to_make(day.site.kit, "S011").cut_length_mm == pytest.approx(1176.332645)
    assert [number for number, _, _ in to_make(day.site.kit, "H12").arms] == [1, 2, 3, 4, 5, 6]


def test_broken_and_mended_parts_weaken_the_arm_where_they_sit(day):
    day.fit("H01", "S001")
    assert own_numbers(day.state, None) == OwnNumbers()
    day.log("damaged", "OH-S001-7", what="end_split", end=2, severity="bad")
    day.log("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad")
    assert own_numbers(day.state, None) == OwnNumbers((("H01", 2, 0.0),), (("S001", 0.0),), (("S001", 2),))
    day.log("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2, capacity=0.6)
    assert own_numbers(day.state, None).arms == (("H01", 2, 0.6),)
    day.log("damaged", "OH-H01-6", what="glue_open", severity="bad")
    assert own_numbers(day.state, None).arms == tuple(("H01", arm, 0.0) for arm in (1, 2, 3, 4))


def test_a_spare_turned_into_place_weakens_the_arm_that_its_own_arm_lies_at(day):
    kit = day.site.kit
    turn = hub_turns(kit, kit.part("OH-H27-J"), "H01")[0]
    day.log("fitted", "OH-H27-J", "H01", exchange=True)
    day.log("damaged", "OH-H27-J", what="arm_snapped", arm=2)
    assert own_numbers(day.state, None).arms == (("H01", turn.place_arm(2), 0.0),)


def test_a_damaged_arm_of_a_damp_hub_has_less_left_than_either_alone_and_the_same_wherever_asked(day):
    checklist, hub = default_checks(day.site.kit.design), day.site.kit.by_place["H01"].id
    day.fit("H01")
    day.log("damaged", hub, what="arm_cracked", arm=2, severity="slight")
    past = replace(day.state.parts[hub], measured=(("moisture", 25.0, "%"),))
    damp = replace(day.state, parts={**day.state.parts, hub: past})
    strength = part_strengths(damp, checklist, [hub])[hub]
    left = {arm: share for _hub, arm, share in own_numbers(damp, checklist).arms}
    assert left == {arm: strength.at(arm) for arm in (1, 2, 3, 4)}
    assert left[1] == pytest.approx(0.7 / 0.9), "EN 1995-1-1 Table 3.1"
    assert left[2] == pytest.approx(0.5 * 0.7 / 0.9)


def test_hubs_without_their_struts_open_nothing_above_them(site):
    day = Day(site)
    for step in site.plan.steps:
        day.fit(step.hub)
    ground = {hub.name for hub in site.kit.frame.hubs if hub.on_ground}
    first = next(step for step in site.plan.steps if step.hub not in ground)
    assert site.plan.lacks(first.hub, day.state.is_fitted) == tuple(dict.fromkeys(
        item.strut for hub in first.waits_for for item in site.plan.step_for(hub).struts))
