"""What phones see of a running server whose log fails, and that it goes on by itself, with nothing lost or doubled."""

import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from babel.messages.pofile import read_po

from fieldapp.kit.file import read_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.lines import to_line
from fieldapp.log.opening import open_book
from fieldapp.log.reading import read_log
from fieldapp.web.common.i18n import LOCALE_DIR

HUB, STRUT = "OH-H01-6", "OH-S001-7"
WHY = {"full": "The laptop's disk is full.", "readonly": "The laptop may not write the log's file.",
       "locked": "Another program on the laptop has locked the log.",
       "io": "The laptop's disk fails, or was pulled out."}
TERMINAL = {"full": r"is full \([^)]+\)\. Make room", "readonly": "Check the rights of the file",
            "locked": "is locked by another program", "io": r"did not take it \([^)]+\)\. Check its plug"}
"""In brackets stand the words of the database, which change with its version."""


def reprint(key):
    """An entry that any part takes at any time."""
    return {"key": f"{key}-0000000000", "kind": "label_reprinted", "part": STRUT}


@cache
def german_words():
    with (LOCALE_DIR / "de" / "LC_MESSAGES" / "raisebook.po").open("rb") as file:
        return read_po(file, locale="de")


def in_german(message):
    return german_words()[message].string


@pytest.mark.skipif(sys.platform != "linux", reason="sets the limits of another process")
def test_a_log_that_fails_and_is_well_again(folder, serve, broken, browser):
    """Four times on one day: whatever was wrong before, each is told for itself."""
    laptop = serve(folder)
    kit, phone, german = read_kit(folder), browser(laptop), browser(laptop, "de")
    assert phone.press(f"/P/{HUB}/fitted", "first-key-0000000")[0] == 303
    kept = {"first-key-0000000"}
    for fault, place in (("full", "S001"), ("readonly", "S002"), ("locked", "S003"), ("io", "S004")):
        kept |= fails_and_is_well(laptop, broken, fault, (phone, german), kit.by_place[place].id)
    said = laptop.said()
    assert str(folder / "log.sqlite") in said
    for fault in WHY:
        assert len(re.findall(TERMINAL[fault], said)) == 1, fault     # not once for every phone that tries again
    assert said.count("The log takes entries again.") == len(WHY)
    there = Counter(entry.key for entry in read_log(folder / "log.sqlite"))
    assert set(there.values()) == {1}
    assert kept <= there.keys()


def fails_and_is_well(laptop, broken, fault, phones, strut):
    """Keys of what was not written down at first, and then was."""
    (phone, german), folder, key = phones, laptop.folder, f"waiting-{fault}-000000"
    with broken(laptop, fault):
        waiting = writes_until_it_fails(phone, fault)
        status, page = german.press(f"/P/{strut}/fitted", key)
        assert status == 503
        for said in (WHY[fault], "It was not written down.", "Your phone keeps it and sends it by itself until it is "
                     "written down: leave the phone on, and one of these pages open.",
                     "Tell whoever has the laptop: its terminal says what to do."):
            assert in_german(said) in page
        assert str(folder) not in page
        assert "log.sqlite" not in page
        start = time.monotonic()
        for path in ("/", f"/P/{HUB}", "/log", "/find", "/ring/1"):
            status, page = phone.get(path)
            assert status == 200
            assert f"Nothing can be written down just now: {WHY[fault]}" in page.replace("&#39;", "'")
        assert time.monotonic() - start < 5.0
        assert any(WHY[fault] in line for line in phone.trouble())
    for _ in range(2):
        assert phone.batch(reprint(waiting))[1]["answers"][0]["kept"]
        assert german.press(f"/P/{strut}/fitted", key)[0] == 303
    assert phone.trouble() == []
    return {key, f"{waiting}-0000000000"}


def writes_until_it_fails(phone, fault):
    """A full file still has room for a few."""
    for number in range(200):
        status, _ = phone.batch(reprint(f"{fault}-{number}"))
        if status != 200:
            assert status == 503
            return f"{fault}-{number}"
    raise AssertionError("it takes everything")


def test_of_a_batch_that_the_disk_cuts_off_each_is_told_truthfully(folder, serve, broken, browser):
    laptop = serve(folder)
    phone = browser(laptop)
    wishes = [reprint(f"batch-{number}") for number in range(150)]
    with broken(laptop, "full"):
        status, said = phone.batch(*wishes)
        kept = [answer["key"] for answer in said["answers"] if answer["kept"]]
        assert status == 503
        assert [answer["key"] for answer in said["answers"]] == [wish["key"] for wish in wishes]
        assert 0 < len(kept) < 150
        assert kept == [entry.key for entry in read_log(folder / "log.sqlite")]
        assert (f"The laptop's disk is full. {len(kept)} of the entries that you sent were written down before that, "
                "the others were not.") in said["message"]
        assert {answer.get("code") for answer in said["answers"][len(kept):]} == {"log_full"}
    status, said = phone.batch(*wishes)
    assert status == 200
    assert all(answer["kept"] for answer in said["answers"])
    assert [entry.key for entry in read_log(folder / "log.sqlite")] == [wish["key"] for wish in wishes]
    bundle_cut_off(laptop, phone, broken)


def bundle_cut_off(laptop, phone, broken):
    """A form that is several entries."""
    log, parts = laptop.folder / "log.sqlite", [part.id for part in read_kit(laptop.folder).parts]
    form = ("/bundle", "&".join(("key=bundle-key-0000000&name=poles", *(f"part={part}" for part in parts))),
            "application/x-www-form-urlencoded")
    before = len(read_log(log))
    with broken(laptop, "full"):
        status, page = phone.ask("POST", *form)
        kept = len(read_log(log)) - before
        assert status == 503
        assert 0 < kept < len(parts)
        assert f"{kept} of the entries that you sent were written down before that, the others were not." in page
    assert phone.ask("POST", *form)[0] == 303
    assert [entry.part for entry in read_log(log)[before:]] == parts


@pytest.mark.thorough
def test_a_clock_set_back_is_told_to_every_phone_and_the_order_stays(folder, serve, browser):
    ahead = datetime.now(UTC) + timedelta(hours=3)
    before = Entry(key="before-it-was-set-back", kind="fitted", part=HUB, place="H01", who="", at=ahead,
                   order_ms=round(ahead.timestamp() * 1000), data={})
    with open_book(folder) as book:
        book.take_in([before])
    phone = browser(serve(folder))
    assert phone.press(f"/P/{HUB}/taken-down", "after-key-0000000")[0] == 303
    for path in ("/", f"/P/{HUB}", "/log"):
        assert "min behind the last entry" in phone.get(path)[1]
    assert "min behind the last entry" in phone.trouble()[0]
    log = read_log(folder / "log.sqlite")
    assert [entry.key for entry in sorted(log, key=lambda entry: entry.position)] == [before.key, "after-key-0000000"]
    assert log[1].at < log[0].at
    assert to_line(log[0]) == to_line(before)


@pytest.mark.thorough
def test_a_file_spoiled_while_it_is_served_costs_nothing_that_was_answered(folder, serve, browser, command, tmp_path):
    """Noticed, told, rescued; and after a restore the phones send what they kept, and all of it is there once."""
    with open_book(folder) as book:
        book.submit(Request("first-key-0000000", "fitted", HUB), datetime.now(UTC))
    laptop = serve(folder)
    phone, log = browser(laptop), folder / "log.sqlite"
    assert command("backup", folder, "--to", tmp_path / "copy.sqlite")[0] == 0
    assert phone.press(f"/P/{STRUT}/fitted", "second-key-000000")[0] == 303
    with log.open("rb+") as file:
        file.write(b"\0" * log.stat().st_size)
    wishes = [reprint(f"later-{number}") for number in range(120)]
    status, said = phone.batch(*wishes)
    answered = [answer["key"] for answer in said["answers"] if answer["kept"]]
    assert status == 503
    assert len(answered) < 60
    assert "The log's file on the laptop is damaged." in said["message"]
    for path in ("/", f"/P/{HUB}", f"/api/state?since={len(answered)}"):
        status, page = phone.get(path)
        assert status == 200
        assert "is damaged" in page
    assert phone.press(f"/P/{STRUT}/taken-down", "third-key-0000000", sure="yes")[0] == 503
    said = laptop.said()
    rescued = folder / "log-rescued.jsonl"
    assert f"kept in {rescued}" in said
    assert command("serve", folder, "--port", "0")[0] == 5
    for words in (("restore", folder, tmp_path / "copy.sqlite"), ("log", "import", folder, rescued, "--yes")):
        assert command(*words)[0] == 0
    phone = browser(serve(folder))
    assert phone.press(f"/P/{STRUT}/taken-down", "third-key-0000000", sure="yes")[0] == 303
    assert all(answer["kept"] for answer in phone.batch(*wishes)[1]["answers"])
    kept = Counter(entry.key for entry in read_log(folder / "log.sqlite"))
    assert set(kept.values()) == {1}
    assert {"first-key-0000000", "second-key-000000", "third-key-0000000", *answered} <= kept.keys()


def test_a_disk_that_is_really_full(made_kit, serve, browser, small_disk):
    """A file system of one megabyte: log, photo and backup meet its end."""
    folder = shutil.copytree(made_kit, small_disk / "kit")
    phone = browser(serve(folder))
    with filled(small_disk):
        for number in range(500):
            status, said = phone.batch(reprint(f"fill-{number}"))
            if status != 200:
                break
        assert status == 503
        assert WHY["full"] in said["message"]
        assert phone.get(f"/P/{HUB}")[0] == 200
    assert phone.batch(reprint(f"fill-{number}"))[0] == 200
    log = read_log(folder / "log.sqlite")
    assert [entry.key for entry in log] == [f"fill-{n}-0000000000" for n in range(number + 1)]


@pytest.mark.parametrize("full", [True, pytest.param(False, marks=pytest.mark.thorough)])
def test_serving_starts_on_a_disk_that_takes_nothing_and_says_so(folder, serve, browser, small_disk, full):
    """Full or write-protected: phones read, and what they press is told to wait."""
    with open_book(folder) as book:
        book.submit(Request("first-key-0000000", "fitted", HUB), datetime.now(UTC))
    folder = shutil.copytree(folder, small_disk / "kit")
    with filled(small_disk) if full else protected(small_disk):
        laptop = serve(folder)
        phone = browser(laptop)
        assert "Sits here" in phone.get("/place/H01")[1]
        assert phone.press(f"/P/{STRUT}/fitted", "second-key-000000")[0] == 503
        assert WHY["full" if full else "readonly"] in phone.trouble()[0]
        said = laptop.said()
    assert said.startswith("Only reading: ")
    assert "stop this with Ctrl-C and start it again." in said


@contextmanager
def protected(disk):
    """Until the end of the block nothing on it can be changed."""
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    yield
    subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)


@contextmanager
def filled(disk):
    """Until the end of the block not a byte is free."""
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(b"x" * 512)
    yield
    filler.unlink()
