"""Who may write: phones that joined by the code, and the laptop itself; all others read."""

import re

import pytest
import zxingcpp
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from fieldapp.kit.kit import Kit
from fieldapp.kit.site_key import SiteKey, site_key
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan
from fieldapp.web.common.rights import WRONG_AT_ONCE, Rights, Tries
from fieldapp.web.server import create_app

CODE = "K7M4QP"
PHONE = {"REMOTE_ADDR": "10.0.0.23"}


@pytest.fixture
def app(app: Flask, book: SiteBook) -> Flask:
    made = create_app(book, held=Rights(SiteKey("s" * 64, CODE)))
    made.test_client_class = app.test_client_class
    return made


@pytest.fixture
def guest(app: Flask) -> FlaskClient:
    """A phone in the Wi-Fi that did not join."""
    client = app.test_client()
    client.environ_base.update(PHONE)
    return client


def _fit(client: FlaskClient, kit: Kit, plan: Plan):
    part = kit.by_place[plan.steps[0].hub].id
    return client.post(f"/P/{part}/fitted", data={"key": "k" * 22}, headers={"Referer": f"http://localhost/P/{part}"})


def test_a_phone_that_did_not_join_reads_and_is_told_how_to_join(guest, kit: Kit, plan: Plan, book: SiteBook) -> None:
    assert "This phone may only read." in guest.words("/")
    answer = _fit(guest, kit, plan)
    assert answer.status_code == 403
    assert guest.heading(answer) == "This phone may only read. To write things down, join."
    assert CODE not in guest.get("/join").text
    assert book.last_number == 0


@pytest.mark.parametrize("path", [f"/JOIN/{CODE}", f"/join/{CODE.lower()}", "/join/K7M-4QP"])
def test_the_scanned_code_lets_a_phone_write(guest, kit: Kit, plan: Plan, book: SiteBook, path: str) -> None:
    welcome = guest.get(path, follow_redirects=True)
    assert "this phone may write things down" in guest.words(welcome)
    assert _fit(guest, kit, plan).status_code == 303
    assert book.last_number == 1
    assert CODE in guest.get("/join").text      # and passes it on


def test_the_typed_code_leads_back_to_the_page_of_the_button(guest, kit: Kit, plan: Plan) -> None:
    refused = _fit(guest, kit, plan)
    back = re.search(r'name="back" value="([^"]+)"', refused.text)[1]
    welcome = guest.post("/join", data={"code": " k7m 4qp", "back": back}, follow_redirects=True)
    assert f'href="{back}"' in welcome.text
    assert back == f"/P/{kit.by_place[plan.steps[0].hub].id}"
    elsewhere = guest.post("/join", data={"code": CODE, "back": "//evil.example/"})
    assert elsewhere.headers["Location"] == "/joined"


def test_queued_entries_of_a_phone_that_did_not_join_are_answered_with_a_code(guest, book: SiteBook) -> None:
    answer = guest.post("/api/entries", json={"entries": []})
    assert (answer.status_code, answer.json["code"]) == (403, "not_joined")


def test_a_forged_or_outdated_cookie_gives_no_right(guest, kit: Kit, plan: Plan, book: SiteBook) -> None:
    old = Rights(SiteKey("s" * 64, "OLD234")).token("write")
    other_laptop = Rights(SiteKey("t" * 64, CODE)).token("write")
    as_chief = Rights(SiteKey("s" * 64, CODE), chief_phrase=CODE).token("chief")
    for cookie in (old, other_laptop, as_chief, "", "x", '"a".b'):
        guest.set_cookie("raisebook_joined", cookie)
        assert _fit(guest, kit, plan).status_code == 403
    assert book.last_number == 0


def test_guessing_has_to_wait(guest, app: Flask) -> None:
    for _ in range(WRONG_AT_ONCE):
        assert guest.get("/join/WRONG2").status_code == 403
    assert guest.get(f"/join/{CODE}").status_code == 429
    other = app.test_client()
    assert other.get(f"/join/{CODE}", environ_overrides={"REMOTE_ADDR": "10.0.0.24"}).status_code == 303


def test_waiting_ends() -> None:
    seconds = [0.0]
    tries = Tries(clock=lambda: seconds[0])
    for _ in range(WRONG_AT_ONCE):
        tries.wrong("a")
    assert tries.too_many("a")
    seconds[0] = 61.0
    assert not tries.too_many("a")


def test_cookies_over_https_have_a_name_of_their_own(guest) -> None:
    plain = guest.get(f"/join/{CODE}").headers.getlist("Set-Cookie")
    secure = guest.get(f"/join/{CODE}", base_url="https://localhost").headers.getlist("Set-Cookie")
    assert any(c.startswith("raisebook_joined=") and "Secure" not in c and "HttpOnly" in c for c in plain)
    assert any(c.startswith("__Host-raisebook_joined=") and "Secure" in c for c in secure)


def test_the_squares_on_the_laptop_say_wifi_and_address(app: Flask) -> None:
    page = app.test_client().get("/join").text
    squares = re.findall(r'class="qr".*?viewBox="0 0 (\d+) .*?d="(.*?)"', page)
    assert [_read(int(size), path) for size, path in squares] == [f"http://10.0.0.1:8000/JOIN/{CODE}"]
    assert CODE in page     # and no square for a Wi-Fi, since this design names none


def _read(size: int, path: str) -> str:
    """What a symbol says, by a decoder that is not ours."""
    picture = Image.new("L", (size, size), 255)
    for x, y, n in re.findall(r"M(\d+) (\d+)h(\d+)", path):
        picture.paste(0, (int(x), int(y), int(x) + int(n), int(y) + 1))
    return zxingcpp.read_barcodes(picture.resize((size * 6, size * 6), Image.Resampling.NEAREST))[0].text


def test_the_key_of_a_folder_stays_and_is_readable_by_its_owner_alone(tmp_path) -> None:
    key = site_key(tmp_path)
    assert site_key(tmp_path) == key
    assert (tmp_path / "site-key.json").stat().st_mode & 0o077 == 0
    assert re.fullmatch(r"[2-9A-Z]{6}", key.join_code)
