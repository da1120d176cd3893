"""Checks by a list: the server reads from it what passes and what is critical."""

from dataclasses import replace

import pytest

from fieldapp.kit.checklist import Check, Checklist
from fieldapp.log.book import SiteBook
from fieldapp.log.fold import fold
from fieldapp.log.lines import from_line, to_line

LIST = Checklist(
    hub=(Check("cracks", "Bend each arm.", "ours", critical=True, each="arm"),
         Check("marks", "Look.", "ours", when="in doubt")),
    strut=(Check("length", "Tape.", "ours", critical=True, unit="mm", at_least=-2.0, at_most=1.0, counts_as="length"),
           Check("dents", "Roll it.", "ours")),
    label=(Check("label readable", "Scan it.", "ours"),))
LABEL = {"item": "label readable", "result": "pass"}


@pytest.fixture
def round_(crew, site, tmp_path):
    with SiteBook.open(site.kit, site.plan, tmp_path / "checks.sqlite", checklist=LIST) as book:
        crew.book = book
        crew.done("round_opened", chief=True, name="spring")
        yield crew


def test_a_number_is_judged_here_whatever_the_phone_says(round_):
    dents = {"item": "dents", "result": "pass"}
    long = {"item": "length", "result": "pass", "value": 1360.0}
    entry = round_.done("checked", "OH-S001-7", items=[long, dents, LABEL])
    assert entry.data["items"][0] | {"words": ""} == {
        "item": "length", "result": "fail", "arm": None, "end": None, "value": 1360.0, "unit": "mm", "critical": True,
        "label": False, "words": ""}
    assert round_.book.state.parts["OH-S001-7"].condition == "quarantined"
    round_.done("checked", "OH-S002-5", items=[long | {"result": "fail", "value": 1354.0}, dents, LABEL])
    assert round_.book.state.parts["OH-S002-5"].condition == "sound"


@pytest.mark.parametrize(("part", "items", "words"), [
    ("OH-H01-6", [{"item": "cracks", "result": "pass"}],
     "the check of H01 lacks: label readable. Look at these too, then send again."),
    ("OH-H01-6", [{"item": "cracks", "result": "fail"}, LABEL],
     "'cracks' of H01 failed, but at which arm is not said. Say the arm; several of them are several lines."),
    ("OH-H01-6", [{"item": "smell", "result": "pass"}],
     "'smell' is not on the list for a hub. On it are: cracks, marks, label readable."),
    ("OH-S001-7", [{"item": "length", "result": "pass"}],
     "'length' of S001 needs a number. Measure it: 1353.1 to 1356.1 mm."),
])
def test_what_a_check_must_say(round_, part, items, words):
    assert round_.refused("checked", part, items=items) == words


def test_a_label_that_cannot_be_read_leaves_the_part_sound(round_):
    cracks = {"item": "cracks", "result": "pass", "critical": False}
    round_.done("checked", "OH-H01-6", items=[cracks, LABEL | {"result": "fail"}])
    part = round_.book.state.parts["OH-H01-6"]
    assert (part.condition, part.label_gone, part.defects) == ("sound", True, ())
    round_.done("checked", "OH-H01-6", items=[cracks, LABEL])
    assert not round_.book.state.parts["OH-H01-6"].label_gone


def test_a_critical_item_stays_critical_whatever_the_phone_says(round_):
    round_.done("checked", "OH-H01-6", items=[
        {"item": "cracks", "result": "fail", "arm": 2, "critical": False}, LABEL])
    assert round_.book.state.parts["OH-H01-6"].condition == "quarantined"


def test_a_round_keeps_the_list_it_was_opened_with(round_, tmp_path):
    opened = round_.book.state.open_round
    assert opened.checklist == round_.book.site.checklist
    round_.book.site = replace(round_.book.site, checklist=replace(LIST, strut=LIST.strut[1:]))   # edited meanwhile
    dents = {"item": "dents", "result": "pass"}
    assert "lacks: length" in round_.refused("checked", "OH-S002-5", items=[dents, LABEL])
    again = fold(round_.book.site.kit, [from_line(to_line(entry), 1) for entry in round_.book.entries()])
    assert again.open_round.checklist == LIST


def test_who_has_which_box_is_in_the_log(round_):
    for sender, box in (("phone 3", "poles 1"), ("phone 4", "poles 1"), ("phone 3", "hubs 2")):
        round_.done("box_taken", sender=sender, box=box)
    current = round_.book.state.open_round
    assert [(held.holder, held.box) for held in current.boxes] == [("phone 4", "poles 1"), ("phone 3", "hubs 2")]
    assert round_.refused("box_taken", box="hubs 2") == (
        "box 'hubs 2' is yours already (since 10:17). Scan what is in it.")
    assert round_.refused("box_given_back", box="poles 1") == (
        "box 'poles 1' is not yours: phone 4 took it. Ask them, or the chief, to give it back.")
    assert round_.refused("box_given_back", box="poles 9") == "nobody has box 'poles 9'. Nothing more to do."
    taken = round_.done("box_given_back", box="hubs 2")
    assert round_.book.state.open_round.box_of("phone 3") == ""
    round_.done("withdrawn", entry=taken.key, reason="still at it")
    assert round_.book.state.open_round.box_of("phone 3") == "hubs 2"
    round_.done("box_given_back", chief=True, box="poles 1")
    assert round_.book.state.open_round.holders("poles 1") == ()
    closed = round_.done("round_closed", chief=True)
    assert round_.book.state.rounds[-1].boxes == ()
    assert "no inspection round is open, so nobody has box 'A'." in round_.refused("box_taken", box="A")
    round_.done("withdrawn", chief=True, entry=closed.key, reason="too soon")
    assert round_.book.state.open_round.box_of("phone 3") == "hubs 2"
