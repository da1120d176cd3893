"""Who may write: phones that joined by the code, and the laptop itself; all others read."""

import io
import re
from datetime import UTC, datetime, timedelta

import pytest
import zxingcpp
from at_the_laptop import at_the_laptop
from flask import Flask
from flask.testing import FlaskClient
from itsdangerous import URLSafeSerializer
from owner_alone import owner_alone
from PIL import Image

from fieldapp.kit.kit import Kit
from fieldapp.kit.site_key import SiteKey, site_key
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan
from fieldapp.web.common.rights import EXTENSION, SIGNED_BY, Rights
from fieldapp.web.common.sessions import GOOD_FOR, Sessions
from fieldapp.web.common.tries import WRONG_AT_ONCE
from fieldapp.web.server import create_app

CODE = "K7M4QP"
NOW = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)
PHONE = {"REMOTE_ADDR": "10.0.0.23"}


@pytest.fixture
def app(app: Flask, book: SiteBook) -> Flask:
    made = create_app(book, clock=lambda: NOW, held=Rights(SiteKey("s" * 64, CODE)))
    made.test_client_class = app.test_client_class
    return at_the_laptop(made)


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
def test_the_scanned_code_asks_and_a_press_lets_the_phone_write(guest, kit: Kit, plan: Plan, book: SiteBook,
                                                                path: str) -> None:
    asking = guest.get(path)
    assert guest.heading(asking) == "Join Orchard Hall with this phone?"
    assert _fit(guest, kit, plan).status_code == 403        # looking at an address joins nobody
    scanned = re.search(r'name="code" value="([^"]+)"', asking.text)[1]
    welcome = guest.post("/join", data={"code": scanned}, follow_redirects=True)
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


def _token(held: Rights, right: str = "write", at: datetime = NOW) -> str:
    return held.token(held.sessions.begin(right, at))


def test_a_forged_or_outdated_cookie_gives_no_right(guest, app: Flask, kit: Kit, plan: Plan, book: SiteBook) -> None:
    held = app.extensions[EXTENSION]
    old = _token(Rights(SiteKey("s" * 64, "OLD234")))
    other_laptop = _token(Rights(SiteKey("t" * 64, CODE)))
    as_chief = _token(Rights(SiteKey("s" * 64, CODE), chief_phrase=CODE), "chief")
    run_out = _token(held, at=NOW - GOOD_FOR["write"] - timedelta(seconds=1))
    right = _token(held)
    by_sha_1 = URLSafeSerializer("s" * 64, salt="raisebook write").dumps(
        URLSafeSerializer("s" * 64, salt="raisebook write", signer_kwargs=SIGNED_BY).loads(right))
    for cookie in (old, other_laptop, as_chief, run_out, by_sha_1, "", "x", '"a".b'):
        guest.set_cookie("raisebook_joined", cookie)
        assert _fit(guest, kit, plan).status_code == 403
    earlier_run = Rights(SiteKey("s" * 64, CODE))
    guest.set_cookie("raisebook_laptop", _token(earlier_run, "laptop"))
    assert _fit(guest, kit, plan).status_code == 403
    assert book.last_number == 0
    guest.set_cookie("raisebook_joined", _token(held))
    assert _fit(guest, kit, plan).status_code == 303


def _join(client: FlaskClient, code: str = CODE, **more: object):
    return client.post("/join", data={"code": code}, **more)


def test_guessing_has_to_wait(guest, app: Flask) -> None:
    for _ in range(WRONG_AT_ONCE):
        assert _join(guest, "WRONG2").status_code == 403
    assert _join(guest).status_code == 429
    other = app.test_client()
    assert _join(other, environ_overrides={"REMOTE_ADDR": "10.0.0.24"}).status_code == 303


def test_cookies_over_https_have_a_name_of_their_own(guest, app: Flask) -> None:
    plain = _join(guest).headers.getlist("Set-Cookie")
    other = app.test_client()
    other.environ_base.update(PHONE)
    secure = _join(other, base_url="https://localhost").headers.getlist("Set-Cookie")
    assert any(c.startswith("raisebook_joined=") and "Secure" not in c and "HttpOnly" in c for c in plain)
    assert any(c.startswith("__Host-raisebook_joined=") and "Secure" in c for c in secure)


def test_joining_again_gives_a_new_session_and_leaving_ends_it(guest, app: Flask, kit: Kit, plan: Plan) -> None:
    _join(guest)
    first = guest.get_cookie("raisebook_joined").value
    _join(guest)
    second = guest.get_cookie("raisebook_joined").value
    assert first != second
    guest.post("/leave")
    for void in (first, second):
        guest.set_cookie("raisebook_joined", void)
        assert _fit(guest, kit, plan).status_code == 403
    assert app.extensions[EXTENSION].sessions.current(NOW) != ()      # the laptop's own stays


def test_the_chief_sees_the_phones_and_ends_one(guest, app: Flask, kit: Kit, plan: Plan) -> None:
    guest.set_cookie("raisebook_who", "team red")
    guest.get("/")
    _join(guest)
    guest.get("/find")
    assert guest.get("/phones").status_code == 403
    laptop = app.test_client()
    laptop.get("/")
    page = laptop.get("/phones")
    assert "team red" in laptop.words(page)
    number = re.search(r'team red.*?/phones/([^"/]+)/end', page.text, re.DOTALL)[1]
    assert guest.post(f"/phones/{number}/end").status_code == 403
    assert laptop.post(f"/phones/{number}/end").status_code == 303
    assert "team red" not in laptop.words("/phones")
    assert _fit(guest, kit, plan).status_code == 403
    assert laptop.post(f"/phones/{number}/end").status_code == 404


def test_what_was_ended_stays_ended_over_a_restart_and_a_lost_file_ends_all(tmp_path) -> None:
    path = tmp_path / "sessions.json"
    before = Sessions(path, now=NOW)
    ended, good = before.begin("write", NOW), before.begin("write", NOW)
    assert before.end(ended.number, NOW)
    again = Sessions(path, now=NOW + timedelta(days=1))
    assert [again.is_good(each, NOW) for each in (ended, good)] == [False, True]
    assert owner_alone(path)
    path.write_text('{"sessions_from": 0, "sessions": [' + "[" * 5000)
    later = NOW + timedelta(days=1)
    anew = Sessions(path, now=later)
    assert not anew.is_good(good, later)
    assert anew.is_good(anew.begin("write", later), later)


def test_the_terminals_address_is_good_once_and_only_it_makes_the_laptop(guest, app: Flask, book: SiteBook) -> None:
    """Not 127.0.0.1: tunnels, rebound names and IPv4 inside IPv6 come from there, too."""
    bare = create_app(book, held=app.extensions[EXTENSION])
    heard: list[str] = []
    one_use = app.extensions[EXTENSION].laptop
    one_use.told = heard.append
    for address in ("127.0.0.1", "::1", "::ffff:127.0.0.1", "10.0.0.9"):
        client = bare.test_client()
        client.environ_base["REMOTE_ADDR"] = address
        assert client.post("/api/entries", json={"entries": []}).status_code == 403
    path = one_use.path
    assert client.head(path).status_code == 403         # a preview does not use it up
    assert client.get(path).status_code == 303
    assert client.post("/api/entries", json={"entries": []}).status_code == 200
    assert client.get("/phones").status_code == 200
    assert guest.get(path).status_code == 403
    assert "Its terminal shows the one that is good now." in guest.words(path)
    assert heard == [one_use.path] != [path]
    assert path.rpartition("/")[2] not in client.get("/join").text


def test_a_photo_is_read_for_phones_that_joined_and_typing_is_open_to_all(guest) -> None:
    assert guest.post("/photo", data={"photo": (io.BytesIO(b"x"), "a.jpg")}).status_code == 403
    assert guest.post("/live", data=b"x").status_code == 403
    assert 'name="photo"' not in guest.get("/find").text
    assert guest.get("/find?q=S073", follow_redirects=True).status_code == 200
    _join(guest)
    assert 'name="photo"' in guest.get("/find").text
    assert guest.post("/live", data=b"x").status_code == 200


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
    assert owner_alone(tmp_path / "site-key.json")
    assert re.fullmatch(r"[2-9A-Z]{6}", key.join_code)
