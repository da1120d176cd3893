"""The page that says whether the kit is fit: the answer first, what to make, one press for an exchange, paper."""

import io
import re
import shutil

import pypdfium2
import pytest

from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.book import SiteBook
from fieldapp.reports.inspection.record import inspection_record
from fieldapp.web.cards.fitness import against_start
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.inspection.paper import record_sheets


@pytest.fixture
def book(first_raise, tmp_path):
    site, path = first_raise
    shutil.copy(path, tmp_path / "log.sqlite")
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite", checklist=site.checklist) as opened:
        yield opened


def _scrap(phone, book, part_class, count):
    parts = [part.id for part in book.site.kit.parts if part.part_class == part_class and part.kind == "hub"
             and book.state.parts[part.id].condition != "scrapped"][:count]
    for part in parts:
        phone.press(f"/scrap/{part}", f"/scrap/{part}", sure="yes", reason="woodworm")
    return parts


@pytest.fixture
def chief(phone):
    phone.post("/chief/enter", data={"phrase": "apple cart long rope"}, headers={"Origin": "http://localhost"})
    return phone


def test_the_demo_is_not_fit_yet_and_the_page_leads_on(phone):
    words = phone.words("/ready")
    assert phone.heading("/ready") == "Not fit yet: parts wait for inspection"
    assert re.search(r"10\d of 219 parts not inspected since they were last used", words)
    assert "uses most of what it can take:" in words
    assert "They do not replace a competent person" in words
    assert "breaks in the frame lie in the quarter of places with the highest use" in words


@pytest.mark.thorough
def test_lacking_hubs_are_named_with_what_the_template_needs(chief, book):
    _scrap(chief, book, "3R", 7)
    answer = chief.get("/ready")
    words = chief.words(answer)
    assert chief.heading(answer).startswith("Not fit: ")
    assert "4 hubs of class 3R (right-handed) lacking" in words
    assert "bent inward by" in words
    assert "/make?kind=hub&amp;part_class=3R&amp;place=H" in answer.text
    assert "If nothing else can be done" in words


def test_an_exchange_is_one_press_and_leaves_the_list(chief, book):
    moves = re.findall(r'/ready/exchange/(\w+)".*?name="part" value="([^"]+)"', chief.get("/ready").text)
    sheet = pypdfium2.PdfDocument(io.BytesIO(chief.get("/ready/stickers.pdf").data))
    words = sheet[0].get_textpage().get_text_range()
    assert [place for place, part in moves if f"new place {place}" not in words or part not in words] == []
    place, part = moves[-1]
    assert chief.press("/ready", f"/ready/exchange/{place}", part=part).status_code == 303
    assert book.state.allocation[place] == part
    assert re.findall(r"/ready/exchange/(\w+)", chief.get("/ready").text) == [other for other, _ in moves[:-1]]


def test_all_exchanges_are_one_press_and_the_kit_then_needs_none(chief, book):
    page = chief.get("/ready").text
    moves = re.findall(r'name="move" value="([^"]+)"', page)
    advised = re.findall(r'/ready/exchange/(\w+)".*?name="part" value="([^"]+)"', page)
    assert moves == [f"{part} {place}" for place, part in advised]
    key, headers = chief.key("/ready"), {"Origin": "http://localhost"}
    for _ in range(2):
        answer = chief.post("/ready/exchange", data={"key": key, "move": moves}, headers=headers)
        assert answer.status_code == 303
    assert all(book.state.allocation[place] == part for place, part in advised)
    assert sum(entry.kind == "exchanged" and entry.key.startswith(key) for entry in book.state.entries) == len(moves)
    assert 'name="move"' not in chief.get("/ready").text


def test_two_parts_that_change_places_are_exchanged_by_one_press_too(chief, book):
    places = [place for place, part in book.site.kit.by_place.items() if part.part_class == "D"
              and book.state.allocation[place] == part.id and book.state.parts[part.id].usable][:3]
    one, two, three = (book.state.allocation[place] for place in places)
    moves = [f"{two} {places[0]}", f"{one} {places[1]}", f"{one} {places[2]}"]
    assert chief.press("/ready", "/ready/exchange", move=moves).status_code == 303
    assert [book.state.allocation[place] for place in places] == [two, three, one]


def test_parts_that_changed_place_on_site_get_stickers_too(phone, book):
    words = pypdfium2.PdfDocument(io.BytesIO(phone.get("/ready/moved.pdf").data))[0].get_textpage().get_text_range()
    moved = [place for place, part in book.state.allocation.items() if book.state.part(part).made_for != place]
    assert moved
    assert all(f"new place {place}" in words for place in moved)
    place = next(place for place in moved if place.startswith("S"))
    again = pypdfium2.PdfDocument(io.BytesIO(phone.get(f"/label/{book.state.allocation[place]}.2/labels.pdf").data))
    words = again[0].get_textpage().get_text_range()
    assert f"\nnew place {place}" in words                          # not for the place it was made for
    assert words.count("this end: ") == 1
    assert f"this end: {book.state.kit.frame.strut(place).end_2.hub}" in words


def test_labels_that_cannot_be_read_come_on_one_sheet(phone, book):
    sheet = pypdfium2.PdfDocument(io.BytesIO(phone.get("/ready/labels.pdf").data))
    words = sheet[0].get_textpage().get_text_range()
    gone = [part for part, past in book.state.parts.items() if past.label_gone]
    assert len(gone) == 2
    assert all(part in words for part in gone)


def test_every_part_inspected_and_mended_the_kit_is_fit(book, app):
    laptop = app.test_client()
    state = book.state
    mark = state.open_round.key[-8:]
    for part in state.all_parts():
        if state.parts[part.id].round != state.open_round.key and not state.parts[part.id].missing \
                and state.parts[part.id].condition != "scrapped":
            key = f"sound-{part.id:-<20}"
            answer = laptop.post(f"/P/{part.id}/sound", data={"key": key, "round": mark}, headers={"Origin": "http://localhost"})
            assert answer.status_code == 303, laptop.words(answer)
    assert laptop.heading("/inspect") == "Every part was seen"
    assert laptop.heading("/ready") == "Fit, once 3 parts have their new places"
    moves = re.findall(r'name="move" value="([^"]+)"', laptop.get("/ready").text)
    laptop.press("/ready", "/ready/exchange", move=moves)
    assert laptop.heading("/ready") == "The kit is fit to be raised"
    assert "Inspected 2026-11-21, all 5 parts passed." in laptop.words("/bundle?name=hubs 2L")


def test_while_it_is_computed_the_page_says_so_at_once_and_looks_again_by_itself(app, phone):
    app.config[PATIENCE] = 0.0
    soon = phone.get("/ready")
    assert phone.heading(soon) == "Is the kit fit? It is being computed"
    assert "data-soon" in soon.text
    app.config[PATIENCE] = 250.0
    assert "data-soon" not in phone.get("/ready").text
    app.config[PATIENCE] = 0.0
    assert phone.heading("/ready") == "Not fit yet: parts wait for inspection"


def test_a_raise_starts_from_a_fit_kit_or_by_name_and_reason_which_stand_on_the_parts(chief, book):
    """The demo waits for its inspection: page and rule say so in the same words."""
    book.judge_starts(against_start)
    why = "parts not inspected since they were last used"
    assert why in chief.words("/raise")
    assert "Start the raise all the same" in chief.words("/raise")
    answer = chief.press("/raise", "/raise/start", name="Harvest week", by="carpenter 1", reason="")
    assert answer.status_code == 409
    assert why in chief.words(answer)
    waiting = next(part.id for part in book.state.all_parts() if part.id in book.state.allocation.values()
                   and book.state.parts[part.id].last_check is None)
    assert chief.post("/api/entries", json={"entries": [{"key": "f" * 20, "kind": "fitted", "part": waiting}]}
                      ).json["answers"][0]["code"] == "raise_not_started"
    assert "Not now: the raise is not started" in chief.words("/place/H01"), "no page says that it may go in"
    start = chief.words("/")
    assert "May go in now" not in start
    assert start.index("The kit is not fit") < start.index("Nothing goes in yet"), "the start page leads with it"
    assert "Go on all the same, by name and reason" in chief.words("/ready")
    assert chief.press("/raise", "/raise/start", name="Harvest week", by="carpenter 1",
                       reason="storm tomorrow").status_code == 303
    assert "May go in now" in chief.words("/place/H01")
    said = "The kit was not fit, this part among the reasons. carpenter 1 went on: storm tomorrow"
    assert said in chief.words(f"/p/{waiting}")
    assert said in chief.words(f"/inspect/P/{waiting}")
    began = "The raise “Harvest week” began although the kit was not fit. carpenter 1 went on: storm tomorrow"
    assert began in chief.words("/ready")
    record = inspection_record(book.state, default_checks(book.site.kit.design))
    assert dict(record_sheets(record).facts)["Not fit"] == began, "the record that is signed says so too"
    assert "carpenter 1 answers for it: storm tomorrow" in chief.words("/log")
