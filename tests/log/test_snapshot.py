"""The fold kept beside a log: used where it is of these entries, this kit and this program, and else passed over."""

import json
import shutil

import pytest
from log.conftest import MORNING, Crew

from fieldapp.kit.file import KIT_FILE
from fieldapp.log import snapshot
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Request
from fieldapp.log.fold import fold
from fieldapp.log.snapshot import snapshot_file


@pytest.fixture
def log(site, tmp_path, monkeypatch):
    """A log of eight entries, closed; whoever folds all of it from here on is counted."""
    monkeypatch.setattr(snapshot, "KEPT_FROM", 5)
    monkeypatch.setattr(snapshot, "KEPT_EVERY", 2)
    (tmp_path / KIT_FILE).write_text("{}")
    return tmp_path / "log.sqlite"


@pytest.fixture
def opened(site, log, monkeypatch):
    """Opens it; gives the book, and whether all entries were folded for that."""
    books, whole = [], []
    monkeypatch.setattr(snapshot, "fold", lambda *args: whole.append(1) or fold(*args))

    def once():
        whole.clear()
        books.append(SiteBook.open(site.kit, site.plan, log))
        return books[-1], bool(whole)

    yield once
    for book in books:
        book.close()


@pytest.fixture
def filled(opened, log):
    book, _folded = opened()
    crew = Crew(book)
    for part in ("OH-S001-7", "OH-S002-5", "OH-S003-3"):
        crew.done("fitted", part)
    crew.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad", words="Ast – gerissen 🪵")
    crew.done("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2, capacity=0.6)
    crew.done("taken_down", "OH-S003-3")
    crew.done("duty_taken", what="step", at="H01")
    state = book.state
    book.close()
    assert snapshot_file(log).exists()
    return state


def test_opening_goes_on_from_it_and_gives_the_same(filled, opened):
    book, folded_all = opened()
    assert (book.state, folded_all) == (filled, False)
    Crew(book, 20).done("fitted", "OH-S003-3")
    assert book.state == fold(book.site.kit, book.entries())
    book.close()
    assert opened()[1] is False


@pytest.mark.parametrize("change", [
    lambda head: {**head, "entries": "0" * 64}, lambda head: {**head, "program": "0" * 64},
    lambda head: {**head, "count": head["count"] - 1}, lambda head: {**head, "count": 10**6},
    lambda head: {**head, "content": "0" * 64}, lambda head: [], lambda head: {**head, "kit": ""}])
def test_what_is_not_as_it_was_written_is_passed_over(filled, opened, log, change):
    path = snapshot_file(log)
    first, _end, rest = path.read_text(encoding="utf-8").partition("\n")
    path.write_text(json.dumps(change(json.loads(first))) + "\n" + rest, encoding="utf-8")
    book, folded_all = opened()
    assert (book.state, folded_all) == (filled, True)


def test_a_state_that_was_changed_by_hand_is_passed_over_and_written_anew(filled, opened, log):
    path = snapshot_file(log)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("OH-S001-7", "OH-S004-1"), encoding="utf-8")
    book, folded_all = opened()
    assert (book.state, folded_all) == (filled, True)
    assert path.read_text(encoding="utf-8") == text
    log.with_name(KIT_FILE).write_text("[]")            # the kit was made anew
    book.close()
    assert opened()[1] is True


def test_another_log_in_its_place_is_folded(filled, opened, log):
    book, _folded = opened()
    book.close()
    later = log.with_name("later")
    shutil.copy(snapshot_file(log), later)
    log.unlink()
    log.with_name("log-end.json").unlink()
    book, _folded = opened()
    crew = Crew(book)
    for _ in range(4):
        crew.done("fitted", "OH-S004-1")
        crew.done("taken_down", "OH-S004-1")
    book.close()
    shutil.copy(later, snapshot_file(log))
    book, folded_all = opened()
    assert folded_all
    assert book.state == fold(book.site.kit, book.entries())


def test_a_name_that_is_forgotten_does_not_stay_in_it(filled, opened, log):
    path = snapshot_file(log)
    book, _folded = opened()
    book.submit(Request(key="named", kind="duty_taken", who="anna", sender="phone 9",
                        data={"what": "step", "at": "H03"}), MORNING)
    book.close()
    book, _folded = opened()
    book.submit(Request(key="again", kind="duty_taken", who="anna", sender="phone 8",
                        data={"what": "step", "at": "H04"}), MORNING)
    book.close()
    assert "anna" in path.read_text(encoding="utf-8")
    book, _folded = opened()
    book.forget(book.names.of("anna"))
    assert not path.exists()
    book.close()
    assert "anna" not in path.read_text(encoding="utf-8")
