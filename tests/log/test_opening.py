"""A kit folder opens with its checklist, and follows the way that its log chose."""

import errno
import os
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner
from filelock import FileLock
from small_frame import small_design

from fieldapp.base.errors import KitError, StoreError
from fieldapp.base.said import in_words
from fieldapp.cli import main
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.memory import MOVED
from fieldapp.log.opening import follow_way, open_book
from fieldapp.reports.readiness import folder_readiness
from fieldapp.web.common.trouble import trouble_words

NOW = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)


@pytest.fixture(scope="module")
def kit():
    """In place of this room's: all tests that ask for ways ask for those of this one."""
    return build_kit(small_design())


def choose(book, key, way):
    outcome = book.submit(Request(key, "way_chosen", chief=True, data={"way": way}), NOW)
    follow_way(book)
    return outcome


def test_a_way_that_breaks_arms_is_refused_to_everybody(kit, tmp_path):
    write_kit(tmp_path, kit)
    with open_book(tmp_path) as book:
        before = book.site.plan
        refusal = choose(book, "k", "crown first")
        assert refusal.code == "way_breaks"
        assert refusal.message.startswith("the way 'crown first' breaks: the arm of H")
        assert (book.state.way, book.site.plan) == (None, before)


def test_another_laptop_s_way_that_breaks_arms_is_not_followed_and_said(kit, tmp_path):
    """Nor does it keep anything from opening, nor the readiness from being judged."""
    write_kit(tmp_path, kit)
    with open_book(tmp_path) as book:
        before = book.site.plan
        chosen = choose(book, "k", "crown set on last")
        book.take_in([replace(chosen, key="l", number=None, data={"way": "crown first"},
                              order_ms=chosen.order_ms + 1000, laptop="", serial=0, before="", signature="")])
        follow_way(book)
        assert (book.state.way, book.site.plan) == ("crown first", before)
    assert folder_readiness(tmp_path, now=NOW).way == before.way
    with open_book(tmp_path) as book:
        assert book.site.plan == before
        assert "the way 'crown first' breaks: the arm of H" in in_words(book.way_trouble)
        choose(book, "m", "crown set on last")
        assert (book.site.plan.way, book.way_trouble) == ("crown set on last", None)


def test_the_way_chosen_on_site_is_followed_also_after_a_restart(kit, tmp_path):
    bold = kit.design.model_copy(update={"raising": kit.design.raising.model_copy(update={"accept_breaking": True})})
    write_kit(tmp_path, build_kit(bold))
    with open_book(tmp_path) as book:
        assert book.site.checklist is None
        first_way = book.site.plan.way
        assert isinstance(choose(book, "k", "crown first"), Entry)
        assert book.site.plan.way == "crown first"
    (tmp_path / "checks.toml").write_text('[[hub]]\nitem = "cracks"\nlook = "Bend."\nsource = "ours"\n'
                                          '[[strut]]\nitem = "dents"\nlook = "Roll."\nsource = "ours"\n')
    with open_book(tmp_path) as book:
        assert book.site.plan.way == "crown first"
        assert [check.item for check in book.site.checklist.lines("hub")] == ["cracks"]
        assert isinstance(book.submit(Request("l", "withdrawn", chief=True, data={"entry": "k", "reason": "rain"}),
                                      NOW), Entry)
        follow_way(book)
        assert book.site.plan.way == first_way != "crown first"


def test_a_broken_checklist_is_said_before_the_log_is_touched(kit, tmp_path):
    write_kit(tmp_path, kit)
    (tmp_path / "checks.toml").write_text("[[hub]]\n")
    with pytest.raises(KitError):
        open_book(tmp_path)
    assert not (tmp_path / "log.sqlite").exists()


@pytest.mark.parametrize(("number", "fault"), [(errno.EROFS, "readonly"), (errno.EACCES, "readonly"),
                                               (errno.ENOSPC, "full"), (errno.EIO, "io")])
def test_a_log_whose_disk_takes_nothing_opens_for_reading_and_says_why(kit, tmp_path, monkeypatch, number, fault):
    """The system's refusal is made here, since whoever has all rights is refused nothing by a folder's."""
    write_kit(tmp_path, kit)
    with open_book(tmp_path) as book:
        written = choose(book, "k", "crown set on last")
    names = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def refused(_lock, **_how):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(FileLock, "acquire", refused)
    with pytest.raises(StoreError, match=os.strerror(number)):
        open_book(tmp_path)
    with open_book(tmp_path, else_read=NOW) as book:
        assert (book.only_reads, book.halt.fault, book.entries()) == (True, fault, (written,))
        assert (book.state.way, book.site.plan.way) == ("crown set on last", "crown set on last")
        with pytest.raises(StoreError, match=os.strerror(number)) as caught:
            book.submit(Request("l", "way_chosen", chief=True, data={"way": "ring by ring"}), NOW)
        assert (caught.value.fault, book.state.way) == (fault, "crown set on last")
        assert "Nothing can be written down just now" in " ".join(trouble_words(book, NOW + timedelta(hours=9)))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.name in names} == names


def test_another_trouble_than_the_disk_s_is_no_reason_to_read_on(kit, tmp_path):
    write_kit(tmp_path, kit)
    with open_book(tmp_path), pytest.raises(StoreError, match="is open in another raisebook"):
        open_book(tmp_path, else_read=NOW)
    (tmp_path / "log.sqlite").write_bytes(b"no log at all")
    with pytest.raises(StoreError, match="is damaged or is no log"):
        open_book(tmp_path, else_read=NOW)


def shown(folder, part):
    return CliRunner().invoke(main, ["show", str(folder), part])


def test_the_terminal_says_of_a_part_what_its_page_says(kit, tmp_path):
    write_kit(tmp_path, kit)
    strut = next(place for place, part in kit.by_place.items() if part.kind == "strut")
    with open_book(tmp_path) as book:
        first = book.site.plan.steps[0].hub
        assert "\nMay go in now." in shown(tmp_path, first).output
        book.submit(Request("a", "damaged", kit.by_place[strut].id, data={"what": "buckled", "severity": "bad"}), NOW)
        book.submit(Request("b", "round_opened", chief=True, data={"name": "spring"}), NOW)
        hurt = shown(tmp_path, strut).output
        assert "\nDamaged: do not use it.\n" in hurt
        assert "May " not in hurt
        assert "\nNot now: the raise is not started.\nAs of entry 2." in shown(tmp_path, first).output
    (tmp_path / "log.sqlite").rename(tmp_path / MOVED)
    gone = shown(tmp_path, first)
    assert gone.exit_code != 0
    assert "was moved to a database server" in gone.output + gone.stderr
