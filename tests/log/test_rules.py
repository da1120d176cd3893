"""What the rules refuse, in which words, and what they admit."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from itertools import islice

import pytest

from fieldapp.base.said import in_words
from fieldapp.kit import with_parts
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.kit.ids import NO_CHECK, format_id, parse_part_id
from fieldapp.kit.numbering import site_numbers
from fieldapp.log.backup import export_lines, import_lines, rescue
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal, Request
from fieldapp.log.kinds import KINDS
from fieldapp.log.rules import Finding
from fieldapp.log.rules.decide import RULES
from fieldapp.wording.log import entry_words
from fieldapp.wording.trust import trust_said


def test_every_kind_has_a_rule():
    assert set(RULES) == set(KINDS)


def test_fitted_twice_says_when_and_by_whom(crew):
    crew.done("fitted", "OH-S001-7")
    assert crew.refused("fitted", "OH-S001-7") == (
        "S001 is already fitted (10:14, phone 3). Scan again, or open place S001.")


def test_times_are_said_on_the_clock_of_the_site(crew):
    crew.done("fitted", "OH-S001-7")
    there = datetime(2026, 5, 2, 9, 0, tzinfo=timezone(timedelta(hours=2)))
    outcome = crew.book.submit(Request("k", "fitted", "OH-S001-7"), there)
    assert isinstance(outcome, Refusal)
    assert outcome.message == "S001 is already fitted (2026-05-01 12:14, phone 3)."


def test_out_of_order_is_admitted_with_what_it_waits_for(crew):
    assert crew.done("fitted", "OH-S002-5").data["waits_for"] == ["H02"]      # hangs on it until H03 comes
    crew.done("fitted", "OH-H01-6")
    assert crew.done("fitted", "OH-H02-4").data["waits_for"] == []


def test_same_class_elsewhere_is_offered_then_fitted_and_exchanged_by_one_entry(crew):
    assert crew.refused("fitted", "OH-S001-7", "S003") == (
        "S001 is meant for place S001; it fits place S003 as well (same class B). "
        "Fit it here and exchange the two, or bring it to its own place.")
    crew.done("fitted", "OH-S001-7", "S003", exchange=True)
    state = crew.book.state
    assert (state.fitted["S003"], state.allocation["S003"], state.allocation["S001"]) == (
        "OH-S001-7", "OH-S001-7", "OH-S003-3")
    assert crew.done("fitted", "OH-S003-3").place == "S001"


def test_a_spare_needs_a_place_and_then_takes_it(crew):
    assert crew.refused("fitted", "OH-S067-8") == (
        "S067 is a spare and is meant for no place yet. Open the place it should go to and choose it there.")
    assert crew.refused("fitted", "OH-S067-8", "S003") == (
        "S067 is a spare of class B; it fits place S003 instead of S003. Fit it here, or bring S003.")
    crew.done("fitted", "OH-S067-8", "S003", exchange="yes")
    assert crew.book.state.home_of("OH-S003-3") is None


@pytest.mark.parametrize(("part", "place", "words"), [
    ("OH-S001-7", "S011", "S001 does not fit place S011: 179 mm too long. Place S011 takes a strut of class A."),
    ("OH-S011-3", "S001", "S011 does not fit place S001: 179 mm too short. Place S001 takes a strut of class B."),
    ("OH-H01-6", "H02", "H01 does not fit place H02: mirror image of this hub. Place H02 takes a hub of class 1R."),
    ("OH-H01-6", "H12", "H01 does not fit place H12: 4 arms where 6 belong. Place H12 takes a hub of class 3."),
    ("OH-S001-7", "H02", "S001 is a strut; place H02 takes a hub. Scan the hub for it."),
    ("OH-S001-7", "S099", "there is no place S099 in this frame. "
                          "Hub places run from H01 to H26, strut places from S001 to S065."),
])
def test_wrong_place(crew, part, place, words):
    assert crew.refused("fitted", part, place, exchange=True) == words


def test_place_taken(crew):
    crew.done("fitted", "OH-S001-7", "S003", exchange=True)
    assert crew.refused("fitted", "OH-S002-5", "S003", exchange=True) == (
        "place S003 already holds S001 (10:14, phone 3). "
        "Check the number on the place; if S001 is not there, withdraw that entry first.")


def test_not_fitted_cannot_come_down(crew):
    assert crew.refused("taken_down", "OH-S001-7") == (
        "S001 is not fitted, so it cannot be taken down. If it hangs in the frame, log it as fitted first.")


def test_damage_names_its_spot_and_badly_damaged_is_quarantined(crew):
    assert crew.refused("damaged", "OH-H01-6", what="arm_snapped") == (
        "'arm snapped' of H01 needs the arm. Choose arm 1 to 4, as marked.")
    assert crew.refused("damaged", "OH-H01-6", what="arm_snapped", arm=5) == (
        "H01 has 4 arms; there is no arm 5. Choose arm 1 to 4.")
    assert crew.refused("damaged", "OH-S001-7", what="arm_snapped", arm=1) == (
        "'arm_snapped' is no damage of a strut. Choose one of: end_crushed, end_split, buckled, split, dented, "
        "hole_torn, soaked, label_gone, other.")
    assert crew.refused("damaged", "OH-S001-7", what="other", severity="bad") == (
        "'something else' of S001 needs a few words. Write what you see.")
    crew.done("damaged", "OH-H01-6", what="arm_snapped", arm="2", end="", severity="slight", words="stepped on")
    assert crew.book.state.parts["OH-H01-6"].condition == "quarantined"
    assert crew.refused("fitted", "OH-H01-6") == (
        "H01 is quarantined and must not be fitted: arm 2 snapped (bad): stepped on. "
        "Take another part of class 1L, or ask the chief to release this one.")


def test_damage_keeps_the_place_where_it_happened(crew):
    crew.done("fitted", "OH-H01-6")
    assert crew.done("damaged", "OH-H01-6", "H05", what="soaked").place == "H01"
    assert crew.done("damaged", "OH-H03-2", what="soaked").place is None
    assert crew.done("damaged", "OH-H03-2", "H05", what="soaked").place == "H05"
    assert crew.done("damaged", "OH-H03-2", "S001", what="soaked").place is None


def test_release_is_the_chiefs_by_name_after_the_glue_is_dry_and_not_over_unmended_damage(crew):
    crew.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad")
    assert crew.refused("released", "OH-H01-6", name="carpenter") == (
        "'released for use' needs the chief's rights. Ask the chief, or enter the pass phrase.")
    assert crew.refused("released", "OH-H01-6", chief=True, name=" ") == (
        "'released for use' needs: name. Fill it in and send again.")
    assert crew.refused("released", "OH-H01-6", chief=True, name="carpenter") == (
        "H01 has damage that nobody has logged as mended: arm 2 cracked (bad). "
        "Log the repair, or say in words why it may be used all the same.")
    crew.done("repaired", "OH-H01-6", how="cleat_and_glue", by="carpenter", arm=2, capacity=0.7,
              usable_from="2026-05-01T13:00:00Z")
    assert crew.refused("released", "OH-H01-6", chief=True, name="carpenter") == (
        "H01 was mended and may be used from 13:00 on. Release it after that time.")
    crew.now = datetime(2026, 5, 1, 13, 0, tzinfo=UTC)
    crew.done("released", "OH-H01-6", chief=True, name="carpenter")
    part = crew.book.state.parts["OH-H01-6"]
    assert (part.condition, part.capacity_of(2), part.capacity_of(1), part.usable) == ("watch", 0.7, 1.0, True)


def test_capacity_needs_its_arm_and_a_share(crew):
    assert crew.refused("repaired", "OH-H01-6", how="scarf", by="carpenter", capacity=0.5) == (
        "a capacity of 50% is stated, but not for which arm. Say which arm of H01 was mended.")
    said = crew.refused("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=1, capacity=3)
    assert re.fullmatch(r"'repaired' cannot take capacity = 3: .*\b1\. Change it and send again\.", said)


def test_withdrawing_needs_right_and_reason_and_happens_once(crew):
    entry = crew.done("fitted", "OH-S001-7").key
    assert crew.refused("withdrawn", sender="phone 4", entry=entry, reason="wrong strut") == (
        "'S001 fitted' came from somebody else (10:14, phone 3). Ask them, or the chief, to withdraw it.")
    assert crew.refused("withdrawn", entry=entry) == "'withdrawn' needs: reason. Fill it in and send again."
    crew.done("withdrawn", sender="phone 4", chief=True, entry=entry, reason="wrong strut")
    assert not crew.book.state.is_fitted("S001")
    assert crew.refused("withdrawn", entry=entry, reason="again") == (
        "'S001 fitted' is withdrawn already (10:17, phone 4). Nothing more to do.")
    assert crew.refused("withdrawn", entry="no key", reason="x") == (
        "there is no entry no key to withdraw. Open the part and choose the entry there.")


def test_nothing_is_withdrawn_from_under_later_entries(crew):
    first = crew.done("fitted", "OH-S001-7").key
    second = crew.done("taken_down", "OH-S001-7").key
    assert crew.refused("withdrawn", entry=first, reason="wrong") == (
        "'S001 fitted' cannot be withdrawn while later entries build on it: S001 taken down (10:15, phone 3). "
        "Withdraw those first, the latest before the others.")
    crew.done("withdrawn", entry=second, reason="wrong")
    crew.done("withdrawn", entry=first, reason="wrong")
    assert not crew.book.state.fitted


def test_a_withdrawal_can_be_withdrawn(crew):
    first = crew.done("fitted", "OH-S001-7").key
    second = crew.done("withdrawn", entry=first, reason="wrong").key
    crew.done("withdrawn", entry=second, reason="it was right")
    assert crew.book.state.fitted == {"S001": "OH-S001-7"}


def test_same_key_twice_gives_the_first_entry_whatever_it_says(crew):
    first = crew.book.submit(Request("k", "fitted", "OH-S001-7"), crew.now)
    second = crew.book.submit(Request("k", "taken_down", "OH-S001-7"), crew.now)
    assert first == second
    assert crew.book.last_number == 1


@pytest.mark.parametrize(("request_", "words"), [
    (Request("k", "eaten", "OH-S001-7"), "there is no entry of kind 'eaten'."),
    (Request("k", "fitted"), "'fitted' needs a part."),
    (Request("k", "fitted", "OH-S999-7"), "OH-S999-7 is not a part of this kit."),
    (Request("", "fitted", "OH-S001-7"), "an entry needs a key of 1 to 80 characters, got 0."),
    (Request("k", "fitted", "OH-S001-7", who="\ud800"), "the request holds something that is no text."),
    (Request("k", ["fitted"], {"part": 1}), "the request holds something that is no text."),
    (Request("k", "scrapped", "OH-S001-7", chief=True), "'scrapped' needs: reason."),
])
def test_the_door(crew, request_, words):
    outcome = crew.book.submit(request_, crew.now)
    assert isinstance(outcome, Refusal)
    assert outcome.message == words
    assert crew.book.last_number == 0


def test_the_door_names_what_it_does_not_know(crew):
    """Why it is refused is said in the validating library's words, which are not ours to hold."""
    outcome = crew.book.submit(Request("k", "fitted", "OH-S001-7", data={"colour": "red"}), crew.now)
    assert isinstance(outcome, Refusal)
    assert re.fullmatch(r"'fitted' cannot take colour = 'red': [^.]+\.", outcome.message)
    assert crew.book.last_number == 0


def test_a_raise_starts_from_a_fit_kit_or_by_a_name_and_a_reason(crew):
    found = (Finding("nothing is inspected", ("OH-H01-6", "OH-S001-7")),)
    crew.book.judge_starts(lambda _site, _state, _now: found)
    crew.done("round_opened", chief=True, name="spring")
    assert crew.refused("fitted", "OH-H01-6") == (
        "no raise is running, so nobody has said that the kit is fit. Ask the chief to start the raise, then send "
        "again.")
    for half in ({}, {"by": "carpenter 1"}, {"reason": "storm tomorrow"}):
        assert crew.refused("raise_started", chief=True, name="harvest week", **half) == (
            "the kit is not fit: nothing is inspected. See to that first; or go on with the name of whoever answers "
            "for it, and the reason.")
    entry = crew.done("raise_started", chief=True, name="harvest week", by="carpenter 1", reason="storm tomorrow")
    state = crew.book.state
    assert entry_words(entry, state) == ("raise harvest week started though the kit was not fit; carpenter 1 answers "
                                         "for it: storm tomorrow")
    assert [part for part, past in state.parts.items() if past.went_on == entry.key] == ["OH-H01-6", "OH-S001-7"]
    assert [in_words(said) for said in trust_said(state, "OH-H01-6")] == [
        "The kit was not fit, this part among the reasons. carpenter 1 went on: storm tomorrow"]
    crew.done("fitted", "OH-H01-6")
    crew.done("checked", "OH-S001-7", items=[{"item": "cracks", "result": "pass"}])
    assert crew.book.state.parts["OH-S001-7"].went_on is None
    found = ()
    crew.done("withdrawn", entry=entry.key, reason="named wrongly", chief=True)
    assert crew.book.state.parts["OH-H01-6"].went_on is None
    assert crew.done("raise_started", chief=True, name="again", by="x", reason="y").data["by"] == ""


def test_course_of_a_raise(crew):
    assert crew.refused("raise_ended", chief=True) == "no raise is running. Start one first."
    crew.done("raise_started", chief=True, name="harvest week")
    assert crew.refused("raise_started", chief=True, name="again") == (
        "the raise 'harvest week' is running since 10:15. End it first.")
    assert crew.refused("strike_started", chief=True) == (
        "no part is fitted, so there is nothing to strike. Scan parts as they go in.")
    crew.done("fitted", "OH-H01-6")
    assert crew.refused("stored", "OH-H01-6", bundle="box 1") == (
        "H01 sits at place H01 and the frame is being raised. "
        "Take it down first, or ask the chief to start the strike.")
    crew.done("strike_started", chief=True)
    assert crew.refused("raise_ended", chief=True) == (
        "the frame still holds H01 (1 in all). Take down or store what is left first.")
    crew.done("stored", "OH-H01-6", bundle="box 1", came_in=["wet"])
    crew.done("raise_ended", chief=True)
    state = crew.book.state
    assert (state.phase, state.running_raise, state.parts["OH-H01-6"].condition) == ("stores", None, "watch")
    assert crew.refused("way_chosen", chief=True, way="upside down").startswith(
        "there is no way of raising 'upside down'. Choose one of: recommended,")


def test_a_part_made_on_site_gets_the_laptop_s_next_id_and_can_be_fitted(crew):
    kit, laptop = crew.book.site.kit, crew.book.laptop
    numbers = list(islice(site_numbers(kit.frame, "strut", laptop), 12))
    entry = crew.done("made", None, "S011", kind="strut", part_class="A")
    assert (entry.part, entry.data["cut_length_mm"]) == (format_id("OH", "strut", numbers[0], width=3),
                                                         pytest.approx(1176.332645))
    given = [entry, *(crew.done("made", kind="strut", part_class="A") for _ in range(11))]
    assert [entry.data["number"] for entry in given] == numbers
    assert crew.done("made", kind="hub", part_class="3").data["number"] >= 1000
    crew.done("fitted", entry.part)
    assert crew.book.state.fitted == {"S011": entry.part}
    found = parse_part_id(entry.part.split("-")[1], with_parts(kit, crew.book.state.made.values()))
    assert (found.part.id, found.message) == (entry.part, NO_CHECK)
    assert "class Z is not in this frame" in crew.refused("made", kind="strut", part_class="Z")


def test_rounds_and_checks(crew):
    items = [{"item": "arm 1: cracks", "result": "pass"}, {"item": "moisture", "result": "pass", "value": 11.5}]
    assert crew.refused("checked", "OH-H01-6", items=items) == (
        "no inspection round is open, so the check of H01 cannot be kept. Ask the chief to open a round.")
    opened = crew.done("round_opened", chief=True, name="spring").key
    crew.done("damaged", "OH-H01-6", what="glue_open", severity="slight")
    assert crew.done("checked", "OH-H01-6", items=items).data["round"] == opened
    part = crew.book.state.parts["OH-H01-6"]
    assert (part.condition, part.reasons, part.round) == ("sound", (), opened)
    assert part.measured == (("moisture", 11.5, ""),)
    crew.done("checked", "OH-H02-4", items=[{"item": "cracks", "result": "fail", "arm": 2}])
    crew.done("checked", "OH-H03-2", items=[{"item": "cracks", "result": "fail", "critical": True}])
    parts = crew.book.state.parts
    assert tuple(map(in_words, parts["OH-H02-4"].reasons)) == ("failed: cracks, arm 2",)
    assert crew.refused("checked", "OH-H02-4", items=[{"item": "cracks", "result": "pass", "arm": 5}]) == (
        "H02 has 4 arms; there is no arm 5. Choose arm 1 to 4.")
    assert (parts["OH-H02-4"].condition, parts["OH-H03-2"].condition) == ("watch", "quarantined")
    crew.done("checked", "OH-H03-2", items=items)
    assert crew.book.state.parts["OH-H03-2"].condition == "quarantined"
    crew.done("round_closed", chief=True)


def test_missing_found_scrapped(crew):
    crew.done("missing", "OH-S001-7")
    assert crew.refused("missing", "OH-S001-7") == "S001 is logged as missing already. Nothing more to do."
    crew.done("found", "OH-S001-7", words="under the truck")
    crew.done("fitted", "OH-S001-7")
    assert crew.refused("scrapped", "OH-S001-7", chief=True, reason="split") == (
        "S001 still sits at place S001. Take it down first.")
    crew.done("taken_down", "OH-S001-7")
    crew.done("scrapped", "OH-S001-7", chief=True, reason="split")
    assert crew.refused("fitted", "OH-S001-7") == (
        "S001 was scrapped and is not to be used again. Put it with the waste and take another part.")


def test_a_spare_replaces_a_broken_part_that_still_sits_there(crew):
    crew.done("fitted", "OH-H12-Z")
    assert "already holds" in crew.refused("exchanged", "OH-H30-T", "H12")
    crew.done("damaged", "OH-H12-Z", what="arm_snapped", arm=1)
    crew.done("exchanged", "OH-H30-T", "H12")
    crew.done("taken_down", "OH-H12-Z")
    assert crew.done("fitted", "OH-H30-T").place == "H12"


def test_a_clock_set_back_keeps_order_and_is_noticed(site, tmp_path):
    noon = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
        book.submit(Request("a", "fitted", "OH-S001-7"), noon)
        book.submit(Request("b", "taken_down", "OH-S001-7"), noon - timedelta(hours=1))
        assert [entry.key for entry in book.state.entries] == ["a", "b"]
        assert not book.state.clashes
        assert book.clock_behind(noon - timedelta(hours=1)) == timedelta(hours=1)
        assert book.clock_behind(noon) is None


BREAKS = [chr(code) for code in range(0x110000) if len(f"a{chr(code)}b".splitlines()) > 1]


def test_words_are_one_line_wherever_they_are_typed(crew):
    """In every reader's eyes: names, words, lists, and the words of the list that the round is opened with."""
    typed = f"a{''.join(BREAKS)}b"
    assert {"\x85", "\u2028", "\u2029"} < set(BREAKS)
    crew.book.site = replace(crew.book.site, checklist=Checklist(
        hub=(Check(f"cracks{typed}", f"Bend it.{typed}", f"ours{typed}"),), strut=(), label=()))
    crew.done("damaged", "OH-H01-6", what="arm_cracked", arm=1, words=typed, sender=typed)
    crew.done("missing", "OH-S003-3", words=typed)
    crew.done("round_opened", chief=True, name=typed)
    crew.done("checked", "OH-H01-6", box=typed, items=[{"item": f"cracks{typed}", "result": "pass", "words": typed}])
    who = crew.book.submit(Request("k", "missing", "OH-S002-5", who=typed), crew.now)
    assert (who.called, crew.book.state.entries[-2].data["items"][0]["words"]) == ("a b", "a b")
    lines = list(export_lines(crew.book.entries(), crew.book.site.kit))
    rescued = rescue(crew.book.entries(), crew.book.site.kit, crew.book._store.path)
    assert all(len(line.splitlines()) == 1 for line in lines)
    assert rescued.read_text(encoding="utf-8").splitlines() == [line.rstrip() for line in lines]
    assert import_lines(rescued.read_text(encoding="utf-8").splitlines(), crew.book.site.kit) == crew.book.entries()
    assert crew.book.submit(Request("k\u2028l", "missing", "OH-S001-7"), crew.now).code == "bad_text"
