"""Stop building, on every page; who has said that they know; the board; the log searched."""

import re


def _stop(phone, words=""):
    return phone.press("/stop", "/stop", words=words)


def test_a_press_by_anybody_stands_above_every_page_and_the_chief_lets_go_on(phone, other_phone, chief, raised):
    raised(1)
    assert phone.get("/api/alarm").json == {"alarm": ""}
    _stop(phone, "hub cracked")
    mark = other_phone.get("/api/alarm").json["alarm"]
    assert other_phone.get("/api/state?since=0").json["alarm"] == mark != ""
    for path in ("/", "/find", "/log", "/place/H01", "/P/H01", "/nowhere", "/board"):
        words = other_phone.words(path)
        assert "Shout or whistle too: not every phone is awake. Building is stopped since 10:14" in words, path
    assert mark in other_phone.get("/alarm").text
    for path in ("/", "/place/H02", "/step/H02"):
        assert "is-now" not in other_phone.get(path).text, "nothing is green while building is stopped"
    assert "Not now: building is stopped" in other_phone.words("/place/H02")
    assert other_phone.post("/stop/lift", data={"key": "k" * 20}).status_code == 409
    chief.press("/board", "/stop/lift")
    assert "Building is stopped" not in phone.words("/")
    assert "is-now" in phone.get("/place/H02").text


def test_the_board_says_who_knows_and_who_does_not(app, book, chief, raised):
    raised(1)
    chief.get("/")
    _stop(chief)
    book_stop = book.state.stop
    assert book_stop is not None
    page = chief.get("/board").text
    assert page.index("Have not said that they know") < page.index("Have said that they know")
    other = app.test_client()
    other.get("/")
    answer = other.post("/stop/seen", data={"key": "s" * 20, "stop": book_stop.key},
                        headers={"Referer": "http://localhost/place/H01"})
    assert answer.location.startswith("/place/H01?done=")
    assert len(book.state.stop.seen) == 1


def test_the_board_shows_what_is_in_hand_what_is_broken_and_the_wind(phone, book, raised, kit):
    raised(3)
    hub = kit.by_place["H01"].id
    for number, (kind, part, data) in enumerate([
            ("duty_taken", None, {"what": "hold", "at": "H01", "team": 2}), ("wind_read", None, {"gust_m_s": 0.4}),
            ("damaged", hub, {"what": "arm_cracked", "arm": 2, "severity": "bad"})]):
        phone.post("/api/entries", json={"entries": [{"key": f"key-of-board-entry-{number}", "kind": kind,
                                                      "part": part, "who": "crew 1", "data": data}]})
    words = phone.words("/board")
    assert "H01 crew 1 (team 2), since 10:14" in words
    assert "Last gust read: 0.4 m/s, 10:14, crew 1." in words
    assert re.search(r"Open damage H01 .*cracked.* sits at H01", words)


def test_the_log_is_searched_and_narrowed(phone, raised):
    raised(2)
    _stop(phone, "hub cracked")
    assert "hub cracked" in phone.words("/log?q=CRACKED")
    found = phone.words("/log?q=H02")
    assert "fitted" in found
    assert "cracked" not in found.split("Search", 2)[2]
    only = phone.words("/log?about=course")
    assert "fitted at" not in only
    assert "Nothing of that was written down." in phone.words("/log?q=zebra")
