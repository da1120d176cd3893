"""Copies: while it is written, checked, never over another; restored with the old one kept."""

import hashlib
import os
import re
import threading

import pytest

from fieldapp.base.errors import StoreError
from fieldapp.log.backup import backup, export_lines, import_lines, restore
from fieldapp.log.baggage import PHOTO_FOLDER, copy_photos
from fieldapp.log.book import SiteBook
from fieldapp.log.reading import read_log


def test_backup_while_writing_is_a_beginning_of_the_log(crew, tmp_path):
    stop = threading.Event()

    def write():
        while not stop.is_set():
            crew.done("label_reprinted", "OH-S001-7")

    writer = threading.Thread(target=write)
    crew.done("fitted", "OH-S001-7")
    writer.start()
    copies = [backup(tmp_path / "log.sqlite", tmp_path / "copies" / f"{number}.sqlite") for number in range(5)]
    stop.set()
    writer.join()
    whole = crew.book.entries()
    for copy in copies:
        kept = read_log(copy)
        assert kept
        assert kept == whole[:len(kept)]
    assert not list((tmp_path / "copies").glob("*.part*"))
    with pytest.raises(StoreError, match=r"is there already, and a backup never overwrites another"):
        backup(tmp_path / "log.sqlite", copies[0])


def test_restore_keeps_what_was_there(site, crew, tmp_path):
    log, copy = tmp_path / "log.sqlite", tmp_path / "copy.sqlite"
    crew.done("fitted", "OH-S001-7")
    backup(log, copy)
    crew.done("fitted", "OH-S002-5")
    with pytest.raises(StoreError, match="is open in another raisebook"):
        restore(copy, log)
    later = crew.book.state
    crew.book.close()
    aside = restore(copy, log)
    assert len(read_log(aside)) == 2
    with SiteBook.open(site.kit, site.plan, log) as book:
        assert book.state.fitted == {"S001": "OH-S001-7"}
        crew.book = book
        crew.done("fitted", "OH-S003-3")
        book.take_in(read_log(aside))
        assert book.state.fitted == {**later.fitted, "S003": "OH-S003-3"}


@pytest.mark.skipif(os.name != "posix", reason="folders cannot be opened to be synced there")
def test_the_names_of_a_copy_and_of_what_is_put_back_are_on_the_disk(crew, tmp_path, monkeypatch, names_left):
    log, copy = tmp_path / "log.sqlite", tmp_path / "copies" / "copy.sqlite"
    crew.done("fitted", "OH-S001-7")
    backup(log, copy)
    crew.book.close()
    assert copy.parent not in names_left()
    monkeypatch.setattr("fieldapp.log.backup.begin_branch", lambda *_what: None)    # which syncs the folder again
    restore(copy, log)
    assert log.parent not in names_left()


def test_nothing_is_restored_from_a_broken_backup(crew, tmp_path):
    crew.done("fitted", "OH-S001-7")
    crew.book.close()
    (tmp_path / "copy.sqlite").write_bytes(b"not a database at all " * 100)
    with pytest.raises(StoreError, match="is damaged or is no log"):
        restore(tmp_path / "copy.sqlite", tmp_path / "log.sqlite")
    assert len(read_log(tmp_path / "log.sqlite")) == 1


@pytest.mark.parametrize(("spoil", "words"), [
    (lambda lines: [], "the file is empty; an exported log has at least its first line. Export it again"),
    (lambda lines: lines[1:], "the file is no exported log: its first line does not say so. "
                              "Make one with 'raisebook log export'"),
    (lambda lines: [lines[0].replace("OH", "MF"), *lines[1:]],
     "the exported log is of kit MF, this is kit OH. Choose the file of this kit"),
    (lambda lines: [lines[0].replace("log\": 2", "log\": -3"), *lines[1:]],
     "line 1 gives the exported log the version -3; versions are 1 to 2. Export it again"),
    (lambda lines: [lines[0].replace("log\": 2", "log\": true"), *lines[1:]],
     "line 1 gives the exported log the version True; versions are 1 to 2. Export it again"),
    (lambda lines: [lines[0].replace("lengths_mm", "lengths"), *lines[1:]],
     "is no mark of a kit. Export the log again"),
    (lambda lines: [lines[0], lines[1].replace('"data":{', '"data":[{').replace("},", "}],", 1)],
     "line 2 is not an entry of a log (data is [{"),
    (lambda lines: [lines[0], lines[1].replace('"at":"2026', '"at":"soon')],
     "line 2 is not an entry of a log (*'soon-05-01T10:14:00.000Z')"),
    (lambda lines: [lines[0], *lines[1:2], lines[2].replace('"order_ms":', '"order_ms":-')],
     "line 3 is not an entry of a log (order_ms is -1777630500000)"),
    (lambda lines: [lines[0], "[1, 2]"], "line 2 is not an entry of a log (it is [1, 2])"),
    (lambda lines: [lines[0].replace("log\": 2", "log\": 7"), *lines[1:]],
     "the exported log has version 7; this program reads up to version 2. Install the newer program that wrote it"),
    (lambda lines: [lines[0], lines[1], lines[2][:40]],
     "line 3 is not an entry of a log (*column 39 (char 38)); "
     "nothing was read in. Export the log again and repeat"),
    (lambda lines: [lines[0], '{"key": "x"}'],
     "line 2 is not an entry of a log (kind is missing); nothing was read in. Export the log again and repeat"),
])
def test_a_file_that_is_no_export(site, crew, spoil, words):
    """A star stands for the words of Python's own readers, which change with its version."""
    crew.done("fitted", "OH-S001-7")
    crew.done("fitted", "OH-S002-5")
    with pytest.raises(StoreError) as caught:
        import_lines(spoil(list(export_lines(crew.book.entries(), site.kit))), site.kit)
    assert re.search(".*".join(map(re.escape, words.split("*"))), str(caught.value))


def test_photos_travel_with_the_copy_and_come_back(tmp_path):
    kept = tmp_path / "kit" / PHOTO_FOLDER
    kept.mkdir(parents=True)
    name = f"{hashlib.sha256(b'one').hexdigest()}.jpg"
    (kept / name).write_bytes(b"one")
    (kept / f"{'a' * 64}.jpg").write_bytes(b"not what its name says")
    assert copy_photos(tmp_path / "kit", tmp_path / "stick") == 1
    assert copy_photos(tmp_path / "kit", tmp_path / "stick") == 0
    assert copy_photos(tmp_path / "stick", tmp_path / "new laptop") == 1
    assert (tmp_path / "new laptop" / PHOTO_FOLDER / name).read_bytes() == b"one"


def test_a_full_disk_leaves_the_log_where_it_is(crew, tmp_path, monkeypatch):
    log, copy = tmp_path / "log.sqlite", tmp_path / "copy.sqlite"
    crew.done("fitted", "OH-S001-7")
    backup(log, copy)
    crew.done("fitted", "OH-S002-5")
    crew.book.close()

    def full(source, target):
        raise StoreError("the disk is full")

    monkeypatch.setattr("fieldapp.log.backup.copy_log", full)
    with pytest.raises(StoreError, match="the disk is full"):
        restore(copy, log)
    assert len(read_log(log)) == 2
