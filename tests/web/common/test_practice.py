"""Practice: marked on every page, takes no real press, and leaves nothing; the real site takes none of practice."""

import pytest

from fieldapp.log.entry import LOG_NAME
from fieldapp.log.practice import practice_folder
from fieldapp.web.common.practice import CONFIG

ORIGIN = {"Origin": "http://localhost"}
WORDS = "Practice: nothing written down here counts. It is thrown away afterwards."


@pytest.fixture
def practising(app):
    app.config[CONFIG] = True
    return app.test_client()


def test_every_page_says_so_and_an_open_one_hears_of_it(app, practising):
    for path in ("/", "/find", "/log", "/place/H01", "/P/H01", "/nowhere", "/board", "/stop"):
        assert WORDS in practising.words(path), path
    mark = practising.get("/api/alarm").json["alarm"]
    app.config[CONFIG] = False
    assert mark != practising.get("/api/alarm").json["alarm"]
    assert WORDS not in practising.words("/")


def test_a_real_press_waits_and_one_of_practice_is_over(app, practising, book, kit):
    hub = kit.by_place["H01"].id
    real = {"key": "r" * 20}
    answer = practising.post(f"/P/{hub}/fitted", data=real, headers=ORIGIN)
    assert (answer.status_code, book.last_number) == (503, 0)     # a phone keeps what gets that answer
    pretended = {**real, "practice": "yes"}
    assert practising.post(f"/P/{hub}/fitted", data=pretended, headers=ORIGIN).status_code == 303
    entry = {"key": "p" * 20, "kind": "missing", "part": kit.by_place["S001"].id}
    assert practising.post("/api/entries", json={"entries": [entry]}).status_code == 503
    app.config[CONFIG] = False
    again = practising.post(f"/P/{hub}/fitted", data={**pretended, "key": "q" * 20}, headers=ORIGIN)
    assert again.status_code == 409
    assert "That was practice" in practising.words(again)
    assert book.last_number == 1


def test_forms_of_practice_carry_its_mark(practising):
    for path in ("/place/H01", "/stop", "/wind", "/find"):
        page = practising.get(path).text
        assert page.count('name="practice" value="yes"') == page.count('name="key"'), path


def test_its_folder_has_the_kit_and_no_log_and_is_gone_afterwards(tmp_path):
    for name in ("kit.json", LOG_NAME, "checks.toml", "plan-recommended.json"):
        (tmp_path / name).write_text("x")
    with practice_folder(tmp_path) as copy:
        assert sorted(path.name for path in copy.iterdir()) == ["checks.toml", "kit.json", "plan-recommended.json"]
    assert not copy.exists()
    assert (tmp_path / LOG_NAME).read_text() == "x"
