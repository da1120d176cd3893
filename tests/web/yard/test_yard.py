"""Several kits at one address: one joining, labels that find their kit, a day given once, news from all of them."""

import re

import pytest
from at_the_laptop import at_the_laptop


@pytest.fixture
def phone(app):
    """One that joined by the poster of a single kit."""
    with app.test_client() as client:
        assert client.post("/join", data={"code": "poster"}).status_code == 303
        yield client


def part_of(books, number, index=0):
    return books[number][1].site.kit.parts[index].id


def key(client, page):
    return re.search(r'name="key" value="([^"]+)"', client.get(page).text)[1]


def test_a_printed_label_opens_its_own_kit(phone, books):
    mill = part_of(books, 0)
    assert phone.get(f"/P/{mill}").location == f"/MD/P/{mill}"          # a scan stays a scan
    assert phone.get(f"/p/{mill.lower()}").location == f"/MD/p/{mill.lower()}"
    assert phone.get(f"/find?q={mill}").location == f"/MD/find?q={mill}"
    assert mill in phone.get(f"/P/{mill}", follow_redirects=True).text


def test_of_two_kits_with_the_same_letters_it_asks(phone, books):
    page = phone.get(f"/P/{part_of(books, 1)}")
    assert "Of which kit is it?" in page.text
    assert {f'href="/RD/P/{part_of(books, 1)}"', f'href="/RD-2/P/{part_of(books, 1)}"'} <= set(
        re.findall(r'href="[^"]+"', page.text))


def test_a_label_of_no_kit_here_says_whose_it_is(phone):
    page = phone.get("/P/OH-S073-C")
    assert page.status_code == 404
    assert "Of kit OH, which is not here" in page.text
    assert "Mill Dome (MD)" in page.text


def test_in_a_kit_the_label_of_another_leads_there(phone, books):
    for address in (f"/MD/P/{part_of(books, 1)}", f"/MD/find?q={part_of(books, 1)}"):
        page = phone.get(address, follow_redirects=True)
        assert "Of kit RD, not of this one" in page.text
        assert f'href="/RD/find?q={part_of(books, 1)}"' in page.text


def test_one_joining_writes_in_every_kit_and_only_there(phone, books, app):
    for number, name in enumerate(("MD", "RD", "RD-2")):
        part = part_of(books, number)
        assert phone.post(f"/{name}/P/{part}/fitted", data={"key": key(phone, f"/{name}/P/{part}")}).status_code == 303
    assert [book.last_number for _folder, book in books] == [1, 1, 1]
    stranger = app.test_client()
    assert stranger.post(f"/MD/P/{part_of(books, 0, 1)}/fitted", data={"key": "k" * 20}).status_code == 403
    assert stranger.post("/join", data={"code": "WRONG1"}).status_code == 403


def test_an_entry_in_any_kit_is_news(phone, books):
    before = phone.get("/api/state").json["last_number"]
    part = part_of(books, 2)
    phone.post(f"/RD-2/P/{part}/fitted", data={"key": key(phone, f"/RD-2/P/{part}")})
    assert phone.get("/api/state").json["last_number"] == before + 1
    assert "going up: 1 of" in phone.get("/").text


def test_pages_of_a_kit_stay_below_its_name(phone):
    page = phone.get("/RD/").text
    own = re.findall(r'(?:href|src|action)="(/[^"]*)"', page)
    assert own
    assert not [url for url in own if not url.startswith("/RD/") and url != "/"]
    assert 'href="/"' in page           # back to all kits
    assert phone.get("/RD").location == "/RD/"
    assert phone.get("/rd/log?about=in").location == "/RD/log?about=in"


def test_a_day_is_given_once_and_the_front_page_says_for_what(app):
    with at_the_laptop(app).test_client() as client:
        sent = {"where": "Mill Green", "first": "2027-05-01", "last": "2027-05-03"}
        assert client.post("/MD/dates/wanted", data={"key": key(client, "/MD/dates"), **sent}).status_code == 303
        second = client.post("/MD/dates/wanted", data={"key": key(client, "/MD/dates"), **sent, "where": "Ropewalk"})
        assert second.status_code == 409
        assert "given to Mill Green for 2027-05-01 to 2027-05-03 already" in second.text
        page = client.get("/").text
        assert "2027-05-01 to 2027-05-03, Mill Green · in 3 days" in page
        assert page.index("Mill Dome") < page.index("Rope Dome")
