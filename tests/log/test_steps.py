"""Steps written down at one press, steps and holds in hand: what the log takes, refuses, lets lapse and asks."""

from datetime import timedelta

import pytest

from fieldapp.log.duties import ASKS_BEFORE, HOLD_LAPSES, STEP_LAPSES, duties_mark, in_hand, lapsed
from fieldapp.log.entry import Request
from fieldapp.log.fold import fold
from fieldapp.log.rules import decide
from fieldapp.log.rules.fitting import SLIP
from fieldapp.reports.parts.history import counting, part_history
from fieldapp.wording.log import entry_words


@pytest.fixture
def step(site):
    """The first step that ties a hub to what stands, and the places that must be in before."""
    found = next(step for step in site.plan.steps if len(step.struts) >= 2 and step.waits_for)
    before = [place for early in site.plan.steps[:found.number - 1] for place in early.places]
    return found, before


def test_a_press_fits_the_step_and_says_what_was_taken_on_trust(crew, site, step):
    found, before = step
    crew.done("step_done", None, before[0], places=before)
    hub = site.kit.by_place[found.hub].id
    entry = crew.done("step_done", places=found.places, scanned=[hub, "OH-H99-Z"])
    state = crew.book.state
    assert (entry.place, entry.data["scanned"], entry.data["waits_for"]) == (found.places[0], [hub], [])
    assert [state.fitted[place] for place in found.places] == entry.data["parts"]
    assert [part for part in entry.data["parts"] if not state.parts[part].not_scanned] == [hub]
    assert "by step, not scanned" in entry_words(entry, state)
    strut = entry.data["parts"][1]
    assert [line.entry.key for line in part_history(state, strut)] == [entry.key]
    assert {(e.kind, e.part) for e in counting(state) if e.key == entry.key} == {
        ("fitted", part) for part in entry.data["parts"]}
    assert crew.refused("step_done", places=found.places).startswith("all of this step is in already: ")
    crew.done("withdrawn", entry=entry.key, reason="another hub")
    assert not set(found.places) & set(crew.book.state.fitted)


def test_all_of_a_step_goes_in_or_nothing(crew, site, step):
    found, _before = step
    strut = site.kit.by_place[found.places[1]].id
    crew.done("damaged", strut, what="split", severity="bad")
    assert "Nothing of this step was written down." in crew.refused("step_done", places=found.places)
    assert crew.refused("step_done", places=[found.hub], parts=[strut]).startswith(
        f"{found.places[1]} is not the part for place {found.hub} any more: it is {found.hub} now.")
    assert crew.refused("step_done", places=[found.hub, found.hub]) == (
        "a step names each place once, with one part for each. Load the page again and repeat.")
    early = crew.done("step_done", places=[found.hub])
    assert set(early.data["waits_for"]) >= set(found.waits_for), "out of order is taken, and said"
    assert entry_words(early, crew.book.state).startswith(f"{found.hub} fitted, before ")


def test_two_laptops_that_logged_one_step_agree(crew, site, step):
    found, before = step
    places = [*before, *found.places]
    blank, now = fold(site.kit, ()), crew.now
    whole = decide(site, blank, Request("a", "step_done", data={"places": places}), now)
    single = decide(site, blank, Request("b", "fitted", site.kit.by_place[found.hub].id), now)
    for log in ((whole, single), (single, whole)):
        joined = fold(site.kit, log)
        assert set(joined.fitted) == set(places)
        assert all(clash.key == "b" for clash in joined.clashes), "the same part at the same place is no quarrel"
    other = next(part.id for part in site.kit.parts if part.is_spare and part.kind == "hub"
                 and part.part_class == site.kit.by_place[found.hub].part_class)
    single = decide(site, blank, Request("0", "fitted", other, found.hub, data={"exchange": True}), now)
    joined = fold(site.kit, (single, whole))
    assert joined.fitted[found.hub] == other
    assert set(joined.fitted) == set(places), "the rest of the step stands all the same"
    assert [(clash.key, clash.part) for clash in joined.clashes] == [("a", site.kit.by_place[found.hub].id)]


def test_a_step_comes_out_again_by_a_press(crew, step):
    found, before = step
    crew.done("step_done", places=[*before, *found.places])
    entry = crew.done("step_done", places=found.places, act="taken_down", parts=[
        crew.book.state.fitted[place] for place in found.places])
    assert not set(found.places) & set(crew.book.state.fitted)
    assert entry_words(entry, crew.book.state).endswith(" taken out")
    assert crew.refused("step_done", places=found.places, act="taken_down").endswith("Nothing more to do.")


def test_a_step_taken_is_offered_to_nobody_else_until_it_lapses(crew, step):
    found, _before = step
    first = found.places[0]
    crew.done("duty_taken", what="step", at=first)
    assert crew.refused("duty_taken", what="step", at=first, sender="phone 5") == (
        f"phone 3 has the step {first} in hand since 10:14. Take another one.")
    assert crew.refused("duty_left", what="step", at=first, sender="phone 5") == (
        f"{first} is not yours: phone 3 has it. Ask them, or the chief, to give it back.")
    crew.now += STEP_LAPSES
    assert not in_hand(crew.book.state, crew.now, "step")
    assert lapsed(crew.book.state, crew.now, "step")
    crew.done("duty_taken", what="step", at=first, sender="phone 5")
    assert [duty.holder for duty in in_hand(crew.book.state, crew.now, "step")] == ["phone 5"]
    crew.done("step_done", places=found.places)
    assert not in_hand(crew.book.state, crew.now, "step"), "done is done, whoever had it"
    assert crew.refused("duty_taken", what="step", at=first).startswith(f"the step {first} is done already.")
    assert crew.refused("duty_taken", what="step", at=found.places[1]).startswith("no step of this way of raising")


def test_whoever_holds_a_hub_says_so_anew(crew, site):
    assert crew.refused("duty_taken", what="hold", at="H01").startswith("H01 is not in the frame")
    assert crew.refused("duty_taken", what="hold", at="S001").startswith("S001 is no hub of this frame.")
    crew.done("fitted", site.kit.by_place["H01"].id)
    crew.done("duty_taken", what="hold", at="H01")
    crew.now += HOLD_LAPSES - timedelta(minutes=2)
    crew.done("duty_taken", what="hold", at="H01")
    [held] = in_hand(crew.book.state, crew.now, "hold")
    assert held.renewed - held.since == HOLD_LAPSES - timedelta(minutes=1)
    assert lapsed(crew.book.state, held.renewed + HOLD_LAPSES, "hold") == (held,)
    moments = [held.renewed + late for late in (timedelta(0), HOLD_LAPSES - ASKS_BEFORE, HOLD_LAPSES)]
    assert [duties_mark(crew.book.state, now) for now in moments] == ["", "1/0", "1/1"]
    crew.done("taken_down", site.kit.by_place["H01"].id)
    assert not crew.book.state.duties, "what is out of the frame is held by nobody"


def test_a_finger_that_slips_is_asked(crew, site):
    hub = site.kit.by_place["H01"].id
    crew.done("fitted", hub)
    crew.now -= timedelta(minutes=1) - SLIP / 2
    assert crew.refused("taken_down", hub, sure=False).startswith("H01 was written down as fitted 2 s ago. Is it out")
    crew.now -= timedelta(minutes=1)
    crew.done("taken_down", hub, sure=True)
    crew.now -= timedelta(minutes=1) - SLIP / 2
    assert crew.refused("fitted", hub, sure=False).startswith("H01 was written down as taken out 2 s ago.")
    assert "sure" not in crew.done("fitted", hub, sure=False).data, "asked for, not kept; a minute later nobody asks"
