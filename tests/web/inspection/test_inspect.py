"""An inspection round on the phones: what counts, what a failure does, who has which box, what the record holds."""

import csv
import io
import re

import pytest

from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.book import SiteBook
from fieldapp.log.fold import fold

HERE = {"Origin": "http://localhost"}


@pytest.fixture
def book(kit, plan, tmp_path):
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite", checklist=default_checks(kit.design)) as opened:
        yield opened


@pytest.fixture
def chief(phone):
    phone.post("/chief/enter", data={"phrase": "apple cart long rope"}, headers=HERE)
    return phone


@pytest.fixture
def open_round(chief):
    assert chief.press("/inspect/round", "/inspect/round/open", name="spring").status_code == 303


@pytest.fixture
def ids(kit):
    return [part.id for part in kit.parts]


def _look(phone, part, seen="scanned"):
    return f"/inspect/P/{part}?seen={seen}&round={_mark(phone)}"


def _mark(phone):
    """What the pages of the open round say of it."""
    current = phone.application.extensions["raisebook"].book.state.open_round
    return current.key[-8:] if current else ""


def _check(phone, part, seen="scanned", **fields):
    sent = {"seen": seen, "round": _mark(phone), "all": "fails" if fields else "sound",
            **{k.replace("__", ":"): v for k, v in fields.items()}}
    return phone.press(_look(phone, part, seen), f"/inspect/P/{part}", **sent)


def test_only_the_chief_opens_a_round_and_without_one_nothing_can_be_checked(other_phone, chief, ids):
    assert "This needs the chief." in other_phone.words("/inspect/round")
    assert other_phone.heading(_look(other_phone, ids[0])) == "No inspection round is open"
    answer = other_phone.post("/inspect/round/open", data={"key": "k" * 20, "name": "mine"}, headers=HERE)
    assert answer.status_code == 409


@pytest.mark.usefixtures("open_round")
def test_a_sound_part_is_one_press_and_leads_to_the_next(phone, book, ids):
    answer = _check(phone, ids[0])
    assert answer.status_code == 303
    assert answer.location.startswith("/inspect?done=")
    words = phone.words(answer.location)
    assert f"{ids[0].split('-')[1]} is sound: back into its box." in words
    assert f"Scan the next part: {len(ids) - 1} not yet seen" in words
    assert [entry.data["seen"] for entry in book.entries() if entry.kind == "checked"] == ["scanned"]


@pytest.mark.usefixtures("open_round")
def test_a_part_that_was_opened_by_a_link_does_not_count(phone, book, ids):
    words = phone.words(f"/inspect/P/{ids[0]}")
    assert "It counts only if it was scanned or typed in this round." in words
    assert "All sound" not in words
    mark = _mark(phone)
    for said in ({"seen": "guessed", "round": mark}, {"seen": "scanned"}, {"seen": "scanned", "round": "x" * 8}):
        answer = phone.press(_look(phone, ids[0]), f"/inspect/P/{ids[0]}", all="sound", **said)
        assert answer.status_code == 409
    assert book.state.parts[ids[0]].round is None


def test_a_page_kept_from_an_earlier_round_counts_for_nothing(chief, open_round, book, ids):
    kept, sent = _look(chief, ids[0]), {"seen": "scanned", "round": _mark(chief), "all": "sound"}
    quick = {"id": ids[1], "round": _mark(chief)}
    chief.press("/inspect/round", "/inspect/round/close", sure="yes")
    chief.press("/inspect/round", "/inspect/round/open", name="autumn")
    assert "It counts only if it was scanned or typed in this round." in chief.words(kept)
    assert chief.press(_look(chief, ids[0]), f"/inspect/P/{ids[0]}", **sent).status_code == 409
    assert chief.press("/inspect", f"/P/{ids[1]}/sound", **quick).status_code == 409
    assert not any(past.round for past in book.state.parts.values())


@pytest.mark.usefixtures("open_round")
def test_typing_leads_to_the_list_and_says_what_is_no_part(phone, ids):
    found = phone.get(f"/inspect/find?q={ids[0].split('-')[1]}")
    assert found.location == _look(phone, ids[0], "typed")
    lost = phone.get("/inspect/find?q=H99")
    assert lost.status_code == 404
    assert "H99 is not a part of this kit" in phone.words(lost)


@pytest.mark.usefixtures("open_round")
def test_a_photo_of_the_label_leads_to_the_list(phone, ids, label, as_jpeg):
    picture = as_jpeg(label(f"http://10.0.0.1/P/{ids[0]}"))
    answer = phone.post("/inspect/photo", data={"photo": (io.BytesIO(picture), "p.jpg")}, headers=HERE)
    assert answer.location == _look(phone, ids[0])


@pytest.mark.usefixtures("open_round")
def test_a_phone_that_inspects_is_led_to_the_list_by_every_way_of_scanning(phone, other_phone, ids):
    phone.get(_look(phone, ids[0]))                                   # from here on it inspects
    assert phone.get(f"/P/{ids[1]}").location == _look(phone, ids[1])
    assert phone.get(f"/p/{ids[1]}").status_code == 200                                       # a link or a bookmark
    assert phone.get(f"/find?q=http://10.0.0.1/P/{ids[1]}").location == _look(phone, ids[1])
    assert phone.get(f"/find?q={ids[1]}").location == _look(phone, ids[1], "typed")
    assert "Inspect it" in other_phone.words(f"/P/{ids[1]}")
    phone.press("/inspect", "/inspect/stop")
    assert phone.get(f"/P/{ids[1]}").status_code == 200


@pytest.mark.usefixtures("open_round")
def test_a_critical_failure_keeps_the_part_out_at_once_and_asks_for_the_arm(phone, book, ids):
    crack = {"look__cracks across the grain": "fail"}
    asked = _check(phone, ids[0], **crack)
    assert asked.status_code == 409
    assert "at which arm is not said" in phone.words(asked)
    assert re.search(r'value="fail" data-fail checked', asked.text)
    answer = _check(phone, ids[0], **crack, **{"spot__cracks across the grain": ["2", "4"]},
                    **{"words__cracks across the grain": "opens when bent"})
    words = phone.words(answer.location)
    assert "do not use it. Mark it and put it apart." in words
    assert "Failed: cracks across the grain, arm 2: opens when bent" in words
    assert book.state.parts[ids[0]].condition == "quarantined"
    assert [defect.arm for defect in book.state.parts[ids[0]].defects] == [2, 4]


@pytest.mark.usefixtures("open_round")
def test_a_number_beyond_its_limit_fails_by_itself_and_the_part_is_watched(phone, book, ids):
    strut = next(part for part in ids if "-S" in part)
    page = phone.words(_look(phone, strut))
    assert "at most 20 %" in page
    wrong = _check(phone, strut, value__moisture="wet")
    assert "Moisture must be a number like 12.5, got wet." in phone.words(wrong)
    for typed, words in (("250", "'Moisture' of"), ("23,5", "Out of its limits: moisture. So it is not all sound")):
        refused = phone.press(_look(phone, strut), f"/inspect/P/{strut}", all="sound", seen="typed",
                              round=_mark(phone), **{"value:moisture": typed})
        assert words.casefold() in phone.words(refused).casefold()
        assert f'value="{typed}"' in refused.text
    answer = phone.press(_look(phone, strut), f"/inspect/P/{strut}", all="fails", seen="typed", round=_mark(phone),
                         **{"value:moisture": "23,5"})
    assert "usable, to be watched" in phone.words(answer.location)
    assert book.state.parts[strut].condition == "watch"
    assert ("moisture", 23.5, "%") in book.state.parts[strut].measured
    first, *others = re.findall(r"<legend>([^<]*)", phone.get(_look(phone, strut)).text)
    assert (first.strip(), others[0].strip()) == ("Moisture", "Straight and whole")     # what failed comes first
    again = phone.words(_check(phone, strut).location)
    assert "usable, to be watched" in again
    assert "Still watched, since it was not measured again: moisture." in again
    assert book.state.parts[strut].condition == "watch"
    dry = phone.press(_look(phone, strut), f"/inspect/P/{strut}", all="sound", seen="scanned", round=_mark(phone),
                      **{"value:moisture": "16"})
    assert "is sound: back into its box." in phone.words(dry.location)
    assert book.state.parts[strut].condition == "sound"
    assert f"{strut} checked: moisture 23.5 %" in phone.words("/log")


@pytest.mark.usefixtures("open_round")
def test_what_was_ticked_is_never_overruled_by_all_sound(phone, book, ids):
    answer = phone.press(_look(phone, ids[0]), f"/inspect/P/{ids[0]}", all="sound", seen="scanned", round=_mark(phone),
                         **{"look:marks": "fail"})
    assert "You ticked that it fails: marks." in phone.words(answer)
    nothing = phone.press(_look(phone, ids[0]), f"/inspect/P/{ids[0]}", all="fails", seen="scanned", round=_mark(phone))
    assert "Tick what fails, or press" in phone.words(nothing)
    assert book.state.parts[ids[0]].round is None


@pytest.mark.usefixtures("open_round")
def test_taken_back_with_a_reason_it_is_not_yet_seen_again(phone, book, ids):
    key = _check(phone, ids[0]).location.partition("done=")[2]
    without = phone.press(f"/log/{key}/withdraw", f"/log/{key}/withdraw", reason=" ")
    assert "'withdrawn' needs: reason." in phone.words(without)
    assert book.state.parts[ids[0]].round is not None
    phone.press(f"/log/{key}/withdraw", f"/log/{key}/withdraw", reason="the wrong hub")
    assert book.state.parts[ids[0]].round is None
    assert f"Scan the next part: {len(ids)} not yet seen" in phone.words(f"/inspect?done={key}")
    assert book.entries()[-1].data["reason"] == "the wrong hub"


@pytest.mark.usefixtures("open_round")
def test_who_has_which_box_is_seen_by_all(phone, other_phone, book, ids):
    phone.press(f"/store/{ids[0]}", f"/store/{ids[0]}", name="hubs 1", came_in="dry")
    other_phone.post("/me", data={"who": "carpenter"}, headers=HERE)
    assert other_phone.press("/inspect", "/inspect/box", box="hubs 1").status_code == 303
    assert "hubs 1 I take it 0 of 1 seen · carpenter has it" in phone.words("/inspect")
    assert "Your box: hubs 1 , 1 part left in it" in other_phone.words("/inspect")
    _check(other_phone, ids[0])
    assert "all seen: take the next box below" in other_phone.words("/inspect")
    _check(other_phone, ids[1])
    assert [entry.data["box"] for entry in book.entries() if entry.kind == "checked"] == ["", "hubs 1"]


@pytest.mark.usefixtures("open_round")
def test_a_box_is_had_by_the_log_given_back_and_freed_when_the_round_closes(phone, other_phone, book, ids):
    other_phone.post("/me", data={"who": "carpenter"}, headers=HERE)
    other_phone.press("/inspect", "/inspect/box", box="crate A")
    phone.press("/inspect", "/inspect/box", box="crate A")
    assert "crate A" in phone.words("/inspect").partition("All seen:")[0]          # nobody knows what is in it
    assert "Box 'crate A' is yours already" in phone.words(phone.press("/inspect", "/inspect/box", box="crate A"))
    assert "box crate A taken to be inspected" in phone.words("/log")
    again = fold(book.site.kit, book.entries())                                    # as after a restart
    assert again.open_round.holders("crate A")[0] == "carpenter"
    assert len(again.open_round.boxes) == 2
    phone.press("/inspect", "/inspect/stop")
    assert book.state.open_round.holders("crate A") == ("carpenter",)
    assert phone.press("/inspect", "/inspect/box/back", box="crate A").status_code == 303      # the chief, for them
    assert "box crate A given back by the chief" in phone.words("/log")
    other_phone.press("/inspect", "/inspect/box", box="crate A")
    phone.press("/inspect/round", "/inspect/round/close", sure="yes")
    assert book.state.rounds[-1].boxes == ()


@pytest.mark.usefixtures("open_round")
def test_the_tag_of_a_bundle_leads_to_taking_it(phone, book, ids):
    phone.press(f"/store/{ids[0]}", f"/store/{ids[0]}", name="hubs 1", came_in="dry")
    assert phone.press("/bundle?name=hubs 1", "/inspect/box", box="hubs 1").status_code == 303
    assert "Your box: To the inspection" in phone.words("/bundle?name=hubs 1")
    assert book.state.open_round.box_of(book.entries()[-1].holder) == "hubs 1"


@pytest.mark.usefixtures("open_round")
def test_out_of_reach_a_typed_id_and_one_press_are_a_check(phone, book, ids):
    page = phone.get("/inspect").text
    assert re.findall(r'name="act" value="([a-z-]+)"', page)[0] == "sound"       # what Enter presses
    strut = next(part for part in ids if "-S" in part)
    answer = phone.press("/inspect/round", f"/P/{strut.lower()}/sound", id=strut, round=_mark(phone))
    assert answer.status_code == 303
    assert book.state.parts[strut].round == book.state.open_round.key


@pytest.mark.usefixtures("open_round")
def test_a_round_is_not_closed_over_unseen_parts_by_mistake(phone, book, ids):
    answer = phone.press("/inspect/round", "/inspect/round/close")
    assert f"{len(ids)} parts are not yet seen." in phone.words(answer)
    assert phone.press("/inspect/round", "/inspect/round/close", sure="yes").status_code == 303
    assert book.state.open_round is None


@pytest.mark.usefixtures("open_round")
def test_the_table_of_results_says_what_was_found_and_what_was_not_seen(phone, ids):
    _check(phone, ids[0])
    rows = list(csv.DictReader(io.StringIO(phone.get("/inspect/record.csv").text)))
    assert {row["seen"] for row in rows if row["part"] == ids[0]} == {"scanned"}
    assert {row["seen"] for row in rows if row["part"] == ids[1]} == {"not seen"}


@pytest.mark.usefixtures("open_round")
def test_words_of_an_inspector_are_no_formula_in_the_table(phone, ids):
    phone.post("/me", data={"who": "@crew"}, headers=HERE)
    _check(phone, ids[0], look__marks="fail", words__marks="=HYPERLINK(\"http://10.0.0.9\")")
    rows = list(csv.DictReader(io.StringIO(phone.get("/inspect/record.csv").text)))
    marks = next(row for row in rows if row["item"] == "marks")
    assert (marks["words"], marks["by"]) == ("'=HYPERLINK(\"http://10.0.0.9\")", "'@crew")


def test_the_start_page_leads_to_the_round(phone, open_round, ids):
    assert f"Inspect: {len(ids)} parts not yet seen" in phone.words("/")


@pytest.mark.usefixtures("open_round")
def test_a_part_that_got_wet_since_is_to_be_seen_again_on_every_page(chief, ids, book):
    assert _check(chief, ids[0]).status_code == 303
    assert "seen again" not in chief.words(f"/p/{ids[0]}")
    left = chief.heading("/inspect")
    chief.post("/api/entries", json={"entries": [{"key": "w" * 20, "kind": "stored", "part": ids[0],
                                                  "data": {"bundle": "H1", "came_in": ["wet"]}}]}, headers=HERE)
    for page in (f"/p/{ids[0]}", f"/inspect/P/{ids[0]}"):
        assert "To be seen again: wetted since." in chief.words(page)
    assert "To be seen again: 1 Wetted since: H" in chief.words("/inspect")
    assert left == f"Scan the next part: {len(ids) - 1} not yet seen"
    assert chief.heading("/inspect") == f"Scan the next part: {len(ids)} not yet seen"
    assert f"{len(ids)} parts are not yet seen" in chief.heading("/inspect/round")
    assert _check(chief, ids[0]).status_code == 303
    assert "seen again" not in chief.words("/inspect") + chief.words(f"/p/{ids[0]}")
