"""The chief: pass phrase, slowed guesses, and rights that the server checks for every write."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from owner_alone import owner_alone

from fieldapp.base.errors import ServeError
from fieldapp.base.said import say
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.rules import Finding
from fieldapp.log.stick_status import StickStatus
from fieldapp.web.common.context import CLOCK, EXTENSION
from fieldapp.web.common.rights import EXTENSION as RIGHTS
from fieldapp.web.common.rights import PHRASE_FILE, chief_hash, is_phrase
from fieldapp.web.common.tries import WRONG_IN_ALL

CHIEF_PHRASE = "apple cart long rope"


def test_a_wrong_phrase_gives_no_right_and_many_are_slowed(phone: FlaskClient) -> None:
    answer = phone.post("/chief/enter", data={"phrase": "apple cart"})
    assert answer.status_code == 403
    assert "That is not the pass phrase. Whoever started the laptop knows it." in phone.words(answer)
    codes = [phone.post("/chief/enter", data={"phrase": f"guess {n}"}).status_code for n in range(10)]
    assert codes[-1] == 429
    assert phone.post("/chief/enter", data={"phrase": "apple cart long rope"}).status_code == 429
    assert phone.heading("/chief") == "Are you the chief?"


def test_guesses_from_many_addresses_are_slowed_together(phone: FlaskClient, app: Flask) -> None:
    tries = app.extensions[RIGHTS].phrase_tries
    for number in range(WRONG_IN_ALL):
        tries.begin(f"10.0.1.{number}")

    given = (CHIEF_PHRASE, "apple pie", CHIEF_PHRASE)       # who was never wrong does not wait
    assert [phone.post("/chief/enter", data={"phrase": phrase}).status_code for phrase in given] == [303, 403, 429]


def test_a_new_session_for_the_chief_ends_when_it_is_given_back_or_after_a_day(phone: FlaskClient, app: Flask) -> None:
    def entered() -> str:
        assert phone.post("/chief/enter", data={"phrase": CHIEF_PHRASE}).status_code == 303
        return phone.get_cookie("raisebook_chief").value

    def is_chief_with(cookie: str) -> bool:
        phone.set_cookie("raisebook_chief", cookie)
        return phone.heading("/chief") == "You are the chief on this phone"

    first, second = entered(), entered()
    assert (is_chief_with(first), is_chief_with(second)) == (False, True)
    phone.post("/chief/leave")
    assert not is_chief_with(second)
    third, clock = entered(), app.extensions[CLOCK]
    app.extensions[CLOCK] = lambda: clock() + timedelta(hours=15)
    assert is_chief_with(third)
    app.extensions[CLOCK] = lambda: clock() + timedelta(hours=17)
    assert not is_chief_with(third)


def test_the_phrase_as_a_phone_writes_it_opens_and_is_given_back(phone: FlaskClient) -> None:
    assert phone.post("/chief/enter", data={"phrase": " Apple cart  long rope "}).status_code == 303
    assert phone.heading("/chief") == "You are the chief on this phone"
    phone.post("/chief/leave")
    assert phone.heading("/chief") == "Are you the chief?"


@pytest.mark.parametrize(("act", "fields"), [
    ("/raise/start", {"name": "Harvest week"}), ("/raise/strike", {}), ("/raise/end", {}),
    ("/ways", {"way": "ring by ring"}), ("/release/H22", {"name": "inspector"}),
    ("/scrap/H22", {"reason": "rotten", "sure": "yes"})])
def test_the_chiefs_acts_are_refused_to_others_on_the_server(phone: FlaskClient, book: SiteBook, act: str,
                                                             fields: dict[str, str]) -> None:
    answer = phone.post(act, data={"key": "k" * 20, **fields})
    assert answer.status_code == 409
    assert "needs the chief's rights. Ask the chief, or enter the pass phrase." in phone.words(answer)
    assert book.last_number == 0


def test_json_cannot_claim_the_chiefs_rights(phone: FlaskClient, chief: FlaskClient) -> None:
    entry = {"key": "k" * 20, "kind": "raise_started", "data": {"name": "x"}, "chief": True}
    assert phone.post("/api/entries", json={"entries": [entry]}).json["answers"][0]["code"] == "chief_only"
    assert chief.post("/api/entries", json={"entries": [entry]}).json["answers"][0]["kept"]


def test_the_chief_takes_back_what_others_wrote(phone: FlaskClient, chief: FlaskClient, kit: Kit,
                                                book: SiteBook) -> None:
    part = kit.by_place["H01"].id
    phone.press(f"/P/{part}", f"/P/{part}/fitted")
    key = book.state.entries[-1].key
    assert chief.press(f"/log/{key}/withdraw", f"/log/{key}/withdraw", reason="wrong hub").status_code == 303
    assert book.state.fitted == {}


def test_another_phrase_makes_old_rights_void(tmp_path: Path) -> None:
    first = chief_hash(tmp_path, "apple cart long rope")
    assert chief_hash(tmp_path, "apple cart long rope") == first
    assert chief_hash(tmp_path, None) == first
    assert chief_hash(tmp_path, "another good phrase") != first
    assert not is_phrase("apple cart long rope", chief_hash(tmp_path, None))
    assert owner_alone(tmp_path / PHRASE_FILE)


def test_a_short_phrase_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ServeError) as refused:
        chief_hash(tmp_path, "pear")
    assert str(refused.value) == ("the chief's pass phrase has 4 characters; 8 to 200 are allowed. "
                                  "Take three or four words.")
    assert chief_hash(tmp_path, None) == ""


def test_the_chief_is_told_of_the_stick_and_others_are_not(phone: FlaskClient, chief: FlaskClient, app: Flask) -> None:
    ten = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)

    class Pulled:
        def status(self) -> StickStatus:
            return StickStatus(Path("/media/stick"), fault, ten, begun=True, held=7, behind=behind, copied_at=ten)

    app.extensions[EXTENSION] = replace(app.extensions[EXTENSION], stick=Pulled())
    fault, behind = "pulled", 3
    words = "The stick was pulled out, or does not answer. Plug it in again: it catches up by itself."
    for page in ("/chief", "/raise"):
        assert words in chief.words(page)
        assert "Since 10:14; the site goes on without it. 3 entries are on this laptop alone." in chief.words(page)
        assert 'class="status is-stop"' in chief.get(page).text
    assert chief.get("/api/state").json["trouble"] == [words]
    assert words in chief.words("/")
    fault, behind = "", 0
    for page in ("/chief", "/raise"):
        assert "The stick follows the log. Each entry is there within a second; its last whole copy is of 10:14." \
            in chief.words(page)
    assert chief.get("/api/state").json["trouble"] == []
    fault = "full"
    for page in ("/chief", "/raise", "/"):
        assert "stick" not in phone.words(page)
    assert phone.get("/api/state").json["trouble"] == []


def test_of_a_new_kit_everybody_reads_that_its_parts_go_in_and_nobody_said_that_it_is_fit(
        chief, phone, book, monkeypatch):
    found = (Finding(say("{n} of {all} parts not inspected", n=3, all=4)),)
    book.judge_starts(lambda site, state, now: found)
    for page in ("course", "start"):
        monkeypatch.setattr(f"fieldapp.web.raising.{page}.against_now", lambda *_asked, **_patience: found)
    for words in (chief.words("/raise"), phone.words("/")):
        assert "Nobody has said yet that it is fit" in words
        assert "3 of 4 parts not inspected" in words
    assert "May go in now" in phone.words("/place/H01")
