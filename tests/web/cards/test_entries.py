"""Writing down: fitted, taken down, damaged, taken back; once for each press, from any phone."""

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from at_the_laptop import at_the_laptop
from flask.testing import FlaskClient

from fieldapp.base.errors import StoreError
from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.plan.plan import Plan
from fieldapp.web.server import create_app


def test_fitted_is_written_once_and_read_back(phone: FlaskClient, kit: Kit, plan: Plan, book: SiteBook) -> None:
    first = plan.steps[0].hub
    part = kit.by_place[first].id
    answer = phone.press(f"/P/{part}", f"/P/{part}/fitted", place=first)
    assert answer.status_code == 303
    assert book.state.fitted == {first: part}
    page = phone.words(answer.location)
    assert f"Written down: {part} fitted at {first} ·" in page
    assert f"Fitted at {first}" in page
    assert "Not right? Take it back" in page
    assert f"Next: {plan.steps[1].sequence[0]}" in page


def test_a_double_press_counts_once(phone: FlaskClient, kit: Kit, plan: Plan, book: SiteBook) -> None:
    part = kit.by_place[plan.steps[0].hub].id
    key = phone.key(f"/P/{part}")
    answers = [phone.post(f"/P/{part}/fitted", data={"key": key}) for _ in range(2)]
    assert [a.status_code for a in answers] == [303, 303]
    assert answers[0].location == answers[1].location
    assert book.last_number == 1


def test_a_second_fitting_is_refused_with_time_and_phone(phone: FlaskClient, other_phone: FlaskClient, kit: Kit,
                                                         plan: Plan) -> None:
    part = kit.by_place[plan.steps[0].hub].id
    stale = other_phone.key(f"/P/{part}")
    phone.press(f"/P/{part}", f"/P/{part}/fitted")
    answer = other_phone.post(f"/P/{part}/fitted", data={"key": stale})
    assert answer.status_code == 409
    assert other_phone.heading(answer) == "Not written down"
    assert re.search(rf"{plan.steps[0].hub} is already fitted \(\d\d:14, phone \w{{4}}\)\.", other_phone.words(answer))


def test_out_of_order_is_taken_and_said(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    step = plan.steps[-1]
    part = kit.by_place[step.hub].id
    answer = phone.press(f"/P/{part}", f"/P/{part}/fitted")
    page = phone.words(answer.location)
    assert f"{part} fitted at {step.hub}, before {step.waits_for[0]}" in page


def test_the_start_page_counts_from_both_phones(phone: FlaskClient, other_phone: FlaskClient, kit: Kit,
                                                plan: Plan) -> None:
    total = len(kit.frame.hubs) + len(kit.frame.struts)
    assert f"As it stands: 0 of {total} places filled" in phone.words("/")
    for sender, step in ((phone, plan.steps[0]), (other_phone, plan.steps[1])):
        sender.press(f"/place/{step.hub}", f"/P/{kit.by_place[step.hub].id}/fitted")
    assert f"As it stands: 2 of {total} places filled" in phone.words("/")
    assert "1 · ground ring 2 of 30" in other_phone.words("/")
    assert "At the pace of the design, " in phone.words("/")


def test_taken_down_empties_the_place(phone: FlaskClient, kit: Kit, plan: Plan, book: SiteBook) -> None:
    part = kit.by_place[plan.steps[0].hub].id
    phone.press(f"/P/{part}", f"/P/{part}/fitted")
    asked = phone.press(f"/P/{part}", f"/P/{part}/taken-down")
    assert asked.status_code == 409
    assert "H01 was written down as fitted 0 s ago. Is it out again?" in phone.words(asked)
    assert 'name="sure" value="yes"' in asked.text
    assert phone.press(f"/P/{part}", f"/P/{part}/taken-down", sure="yes").status_code == 303
    assert book.state.fitted == {}
    assert "May go in now" in phone.words(f"/P/{part}")


def test_damage_is_asked_by_kind_and_kept_in_words(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    part = kit.by_place["H22"].id
    assert "arm snapped" in phone.words(f"/damage/{part}")
    assert "arm snapped" not in phone.words(f"/damage/{kit.by_place['S073'].id}")
    answer = phone.press(f"/damage/{part}", f"/damage/{part}", what="arm_snapped", where="4", severity="bad",
                         words="stepped on")
    page = phone.words(answer.location)
    assert f"{part} damaged: arm snapped, arm 4, stepped on" in page
    assert "Damaged: do not use it" in phone.words(f"/P/{part}")
    assert book.state.parts[part].condition == "quarantined"


def test_damage_without_its_arm_is_asked_back(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    part = kit.by_place["H22"].id
    answer = phone.press(f"/damage/{part}", f"/damage/{part}", what="arm_snapped", where="", words="stepped on")
    assert answer.status_code == 409
    assert "'arm snapped' of H22 needs the arm. Choose arm 1 to 6, as marked." in phone.words(answer)
    assert 'value="arm_snapped" required checked' in answer.text
    assert ">stepped on</textarea>" in answer.text
    assert book.last_number == 0


def test_taken_back_by_the_phone_that_wrote_it(phone: FlaskClient, other_phone: FlaskClient, kit: Kit, plan: Plan,
                                               book: SiteBook) -> None:
    part = kit.by_place[plan.steps[0].hub].id
    phone.press(f"/P/{part}", f"/P/{part}/fitted")
    key = book.state.entries[-1].key
    assert "It was written on another phone." in other_phone.words(f"/log/{key}/withdraw")
    answer = phone.press(f"/log/{key}/withdraw", f"/log/{key}/withdraw", reason="wrong hub")
    assert answer.status_code == 303
    assert book.state.fitted == {}
    log = phone.words("/log")
    assert "2 entries" in log
    assert "taken back: wrong hub" in log


def test_who_is_kept_on_the_phone_and_written_beside(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    phone.post("/me", data={"who": "  Zoë\t1 <b> ", "theme": "night"})
    part = kit.by_place[plan.steps[0].hub].id
    answer = phone.press(f"/P/{part}", f"/P/{part}/fitted")
    page = phone.get(answer.location)
    assert "Zoë 1 <b>" in phone.words(page)
    assert "<b> " not in page.text.split("<main")[1].split("idline")[0]
    assert 'data-theme="night"' in page.text


def test_a_form_without_a_key_is_refused(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    answer = phone.post(f"/P/{kit.parts[0].id}/fitted", data={"key": "short"})
    assert answer.status_code == 400
    assert "reload the page and try again" in phone.words(answer)
    assert book.last_number == 0


def test_when_every_place_is_filled_the_frame_stands(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    entries = [{"key": f"key-of-part-{number:06d}", "kind": "fitted", "part": kit.by_place[place].id}
               for number, place in enumerate(name for step in plan.steps
                                              for name in (step.hub, *(s.strut for s in step.struts)))]
    for first in range(0, len(entries), 200):
        answers = phone.post("/api/entries", json={"entries": entries[first:first + 200]}).json["answers"]
        assert all(answer["kept"] for answer in answers)
    assert phone.heading("/") == "The frame stands: every place is filled."


def test_a_log_that_cannot_be_written_is_said_and_reading_goes_on(phone: FlaskClient, kit: Kit, plan: Plan,
                                                                  monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise StoreError("the disk is full; make room and send again")

    monkeypatch.setattr(SiteBook, "submit", full)
    part = kit.by_place[plan.steps[0].hub].id
    key = phone.key(f"/P/{part}")
    answer = phone.post(f"/P/{part}/fitted", data={"key": key})
    assert answer.status_code == 503
    assert phone.heading(answer) == "The log cannot be written"
    assert "The laptop cannot write its log. It was not written down. Send it again later" in phone.words(answer)
    assert "May go in now" in phone.words(f"/P/{part}")


def test_places_left_out_stay_empty_and_count_nowhere(tmp_path: Path) -> None:
    design = Design.model_validate({
        "frame": {"name": "Small", "prefix": "SM", "frequency": 2, "cut": "1/2", "level_base": False, "diameter_m": 5.0,
                  "doorway": True},
        "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0}})
    kit = build_kit(design)
    plan = level_order(kit.frame, design)
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite") as book:
        phone = at_the_laptop(create_app(book)).test_client()
        assert plan.left_out
        for place in plan.left_out:
            for path in (f"/place/{place}", f"/P/{kit.by_place[place].id}"):
                page = phone.get(path)
                assert page.status_code == 200
                assert "Stays empty" in page.text
                assert "/fitted" not in page.text
        needed = len(kit.frame.hubs) + len(kit.frame.struts) - len(plan.left_out)
        assert f"0 of {needed} places filled" in phone.get("/").text


@pytest.mark.parametrize(("path", "leads_to"), [("/P/H22/fitted", "/p/H22"), ("/photo", "/find")])
def test_a_tab_reopened_after_a_press_leads_to_a_page(phone: FlaskClient, path: str, leads_to: str) -> None:
    answer = phone.get(path)
    assert answer.status_code == 303
    assert phone.get(answer.location).request.path == leads_to


def test_the_log_is_read_to_its_first_entry_however_long_it_is(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    first = kit.by_place["H01"].id
    phone.press(f"/P/{first}", f"/P/{first}/fitted")
    begun = book.state.entries[0]
    other = kit.by_place["H02"].id
    book.take_in(replace(begun, key=f"later {number}", kind="label_reprinted", part=other, place=None, number=None,
                         order_ms=begun.order_ms + number) for number in range(1, 1100))
    page, pages = phone.get("/log").text, 1
    while pages < 40 and (older := re.search(r'href="(/log\?[^"]*skip=\d+[^"]*)"', page)):
        page, pages = phone.get(unescape(older[1])).text, pages + 1
    assert pages == 22, "fifty a page"
    assert "H01" in page
    assert "H01" not in phone.get("/log?skip=1000").text
