"""A stick beside the laptop: a folder that follows the log, is pulled, filled, spoiled, and gone on from."""

import dataclasses
import os
import shutil
import threading
import time
from contextlib import contextmanager

import pytest

from fieldapp.base.errors import KitError, StoreError
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log import stick as stick_module
from fieldapp.log.backup import export_lines
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Request
from fieldapp.log.from_stick import read_stick, refuse_not_whole, restore_stick, stick_folder
from fieldapp.log.laptop import laptop_file
from fieldapp.log.reading import read_log
from fieldapp.log.stick import Stick
from fieldapp.log.stick_files import replace_file

HUB, STRUT = "OH-H01-6", "OH-S001-7"


@pytest.fixture
def laptop(crew, kit, tmp_path):
    """The folder of the log of `crew`."""
    write_kit(tmp_path, kit)
    return tmp_path


@pytest.mark.skipif(os.name != "posix", reason="folders cannot be opened to be synced there")
def test_the_names_of_what_a_stick_takes_are_on_it(tmp_path, names_left):
    replace_file(tmp_path / "kit.json", b"new")
    assert names_left() == set()


@pytest.fixture
def place(tmp_path_factory):
    return tmp_path_factory.mktemp("usb") / "stick"


@contextmanager
def following(crew, laptop, place, told=lambda status: None):
    place.mkdir(exist_ok=True)
    stick = Stick(crew.book, laptop, place, lambda: crew.now)
    stick.start(told)
    try:
        yield stick
    finally:
        stick.close()


def wait(until, *, what="it"):
    end = time.monotonic() + 20.0
    while not until():
        assert time.monotonic() < end, f"{what} did not happen"
        time.sleep(0.01)


def lines_of(crew):
    return "".join(export_lines(crew.book.entries(), crew.book.site.kit, crew.book.laptops.values())).encode()


def level(crew, stick, place):
    wait(lambda: (place / "OH-log.jsonl").exists() and (place / "OH-log.jsonl").read_bytes() == lines_of(crew)
         and not stick.status().fault and not stick.status().behind, what="catching up")


def test_entries_photos_and_kit_are_there_and_never_the_laptops_key(crew, laptop, place):
    crew.done("fitted", STRUT)
    (laptop / "photos").mkdir()
    with following(crew, laptop, place) as stick:
        level(crew, stick, place)
        crew.done("fitted", HUB)
        (laptop / "photos" / f"{'a' * 64}.jpg").write_bytes(b"a picture")
        level(crew, stick, place)
        wait((place / "photos" / f"{'a' * 64}.jpg").exists, what="the photo")
        wait(lambda: stick.status().copied_at, what="a whole copy")
        crew.done("taken_down", STRUT)
    assert (place / "OH-log.jsonl").read_bytes() == lines_of(crew)
    assert max(len(read_log(copy)) for copy in place.glob("OH-log-?.sqlite")) == 3
    assert stick.status().behind == 0
    private = laptop_file(laptop / "log.sqlite").read_text().split('"')[3].encode()
    assert all(private not in path.read_bytes() for path in place.rglob("*") if path.is_file())


def test_a_pulled_stick_is_said_once_nobody_waits_and_it_catches_up(crew, laptop, place):
    told = []
    with following(crew, laptop, place, told.append) as stick:
        wait(lambda: told, what="the first word")
        place.rename(place.with_name("pulled"))
        wait(lambda: stick.status().fault == "pulled", what="the fault")
        for _ in range(3):
            crew.done("label_reprinted", STRUT)
        assert stick.status().behind == 3
        assert not place.exists()
        wait(lambda: [status.fault for status in told] == ["", "pulled"], what="the word")
        place.with_name("pulled").rename(place)
        level(crew, stick, place)
        wait(lambda: [status.fault for status in told] == ["", "pulled", ""], what="the word")


def test_a_stick_that_hangs_keeps_nobody_waiting(crew, laptop, place, monkeypatch):
    release, appended = threading.Event(), stick_module.append

    def hanging(*words):
        release.wait(20.0)
        return appended(*words)

    monkeypatch.setattr(stick_module, "append", hanging)
    monkeypatch.setattr(stick_module, "SLOW_S", 0.3)
    with following(crew, laptop, place) as stick:
        level(crew, stick, place)
        for _ in range(5):
            crew.done("label_reprinted", STRUT)
        wait(lambda: stick.status().fault == "slow", what="the fault")
        assert stick.status().behind == 5
        release.set()
        level(crew, stick, place)


@pytest.mark.parametrize("name", ["OH-log.jsonl", "kit.json", "OH-log-1.sqlite", "design.toml", "site-key.json"])
def test_a_foreign_file_is_never_written_over(crew, laptop, place, name):
    place.mkdir()
    (place / name).write_text("somebody's own\n")
    with pytest.raises((StoreError, KitError)) as refused:
        Stick(crew.book, laptop, place, lambda: crew.now)
    assert name in str(refused.value)
    assert [(path.name, path.read_text()) for path in place.iterdir()] == [(name, "somebody's own\n")]


def test_no_stick_another_kits_and_the_folder_itself_are_refused(crew, kit, laptop, place):
    def refused(folder, words):
        with pytest.raises((StoreError, KitError), match=words):
            Stick(crew.book, laptop, folder, lambda: crew.now)

    refused(place, "is not there. Plug it in, or check the name")
    refused(laptop, "is a folder that is served from")
    frame = kit.design.frame.model_copy(update={"prefix": "MF", "name": "Mill Field"})
    write_kit(place, build_kit(kit.design.model_copy(update={"frame": frame})))
    refused(place, r"holds kit MF \(Mill Field\), not OH")


def test_what_only_the_stick_holds_is_put_aside(crew, site, laptop, place, tmp_path_factory):
    crew.done("fitted", STRUT)
    with following(crew, laptop, place) as stick:
        level(crew, stick, place)
    before = (place / "OH-log.jsonl").read_bytes()
    other = tmp_path_factory.mktemp("other")
    write_kit(other, site.kit)
    with SiteBook.open(site.kit, site.plan, other / "log.sqlite") as book:
        crew.book = book
        crew.done("fitted", HUB)
        with following(crew, other, place) as stick:
            level(crew, stick, place)
        assert stick.status().aside == place / "OH-log-kept-1.jsonl"
    assert (place / "OH-log-kept-1.jsonl").read_bytes() == before
    assert len(read_log(place / "OH-log-kept-1-1.sqlite")) == 1


@pytest.fixture
def written(crew, laptop, place):
    """A stick with a whole copy of two entries and lines of four; the laptop died after that."""
    crew.done("fitted", STRUT)
    crew.done("fitted", HUB)
    with following(crew, laptop, place) as stick:
        wait(lambda: stick.status().copied_at, what="a whole copy")
        level(crew, stick, place)
    [copy] = place.glob("OH-log-?.sqlite")
    early = copy.read_bytes()
    with following(crew, laptop, place) as stick:
        crew.done("taken_down", STRUT)
        crew.done("damaged", STRUT, what="split")
        level(crew, stick, place)
    for later in place.glob("OH-log-?.sqlite"):
        later.unlink()
    copy.write_bytes(early)
    return place


def test_going_on_from_copy_and_lines_with_an_identity_of_its_own(crew, site, written, tmp_path_factory):
    found = read_stick(written, site.kit)
    assert (found.in_copy, len(found.entries), found.is_whole) == (2, 4, True)
    names = set()
    for _ in range(2):
        log = tmp_path_factory.mktemp("other") / "log.sqlite"
        assert restore_stick(found, log, site.kit) is None
        assert sorted(path.name for path in log.parent.iterdir() if path.suffix != ".lock") == [
            "log-laptop.json", "log.sqlite"]
        with SiteBook.open(site.kit, site.plan, log) as book:
            assert book.entries() == crew.book.entries()
            assert book.state.fitted == crew.book.state.fitted
            names |= {book.laptop, crew.book.laptop}
    assert len(names) == 3
    restore_stick(found, log, site.kit)
    with SiteBook.open(site.kit, site.plan, log) as book:
        assert book.laptop not in names
    for name in (written, written / "OH-log.jsonl", *written.glob("OH-log-?.sqlite")):
        assert stick_folder(name) == written
    assert stick_folder(written / "log-2026-05-01-101400.sqlite") is None


def test_a_line_that_was_being_written_counts_as_not_there(site, written):
    with (written / "OH-log.jsonl").open("ab") as file:
        file.write(b'{"key":"half a l')
    assert read_stick(written, site.kit).is_whole


@pytest.mark.parametrize(("spoil", "words"), [
    (lambda lines: lines[:4], "entry 4 of laptop [A-Z2-7]{8}: missing; 1 entries fewer than there once were on it"),
    (lambda lines: [*lines[:3], *lines[4:]], "entry 3 of laptop [A-Z2-7]{8}: missing"),
    (lambda lines: [*lines[:3], lines[3].replace(b"taken_down", b"released_"), *lines[4:]],
     "entry 4 of laptop .*: not what their laptop wrote.*entry 3 of laptop .*: not signed by that laptop"),
    (lambda lines: [*lines[:3], b"\xff" + lines[3][1:], *lines[4:]], "entry 3 of laptop [A-Z2-7]{8}: missing")])
def test_what_is_cut_missing_or_changed_is_named(site, written, spoil, words):
    lines = (written / "OH-log.jsonl").read_bytes().split(b"\n")[:-1]
    (written / "OH-log.jsonl").write_bytes(b"".join(line + b"\n" for line in spoil(lines)))
    found = read_stick(written, site.kit)
    assert not found.is_whole
    with pytest.raises(StoreError, match=words):
        refuse_not_whole(found)


def test_after_going_on_with_gaps_the_log_opens(site, written, tmp_path_factory):
    lines = (written / "OH-log.jsonl").read_bytes().split(b"\n")
    (written / "OH-log.jsonl").write_bytes(b"\n".join([*lines[:3], *lines[4:]]))
    log = tmp_path_factory.mktemp("other") / "log.sqlite"
    restore_stick(read_stick(written, site.kit), log, site.kit)
    with SiteBook.open(site.kit, site.plan, log) as book:
        assert len(book.entries()) == 3


def test_each_of_lines_and_copy_is_enough_where_the_other_is_spoiled(crew, site, written, tmp_path):
    [copy] = written.glob("OH-log-?.sqlite")
    alone = shutil.copytree(written, tmp_path / "lines alone")
    (alone / copy.name).write_bytes(b"not a database at all " * 100)
    found = read_stick(alone, site.kit)
    assert (found.copy, found.entries) == (None, crew.book.entries())
    assert [dataclasses.replace(entry, number=None) for entry in found.entries] == list(found.entries)
    (written / "OH-log.jsonl").unlink()
    found = read_stick(written, site.kit)
    assert (found.in_copy, found.cut) == (2, 2)
    with pytest.raises(StoreError, match=r"entries 3 to 4 of laptop .*: missing"):
        refuse_not_whole(found)
    copy.unlink()
    with pytest.raises(StoreError, match="holds no log of kit OH"):
        read_stick(written, site.kit)


def test_names_go_along_and_what_is_forgotten_goes_from_the_stick_too(crew, laptop, place, tmp_path_factory):
    """Lines are appended to while the names stay; after a forgetting they are written anew, and both whole copies."""
    site, name, photo = crew.book.site, "Wilhelmina", "a" * 64
    (laptop / "photos").mkdir()
    (laptop / "photos" / f"{photo}.jpg").write_bytes(b"a picture")

    def told(key, who):
        crew.book.submit(Request(key, "damaged", STRUT, who=who, data={"what": "dented", "photo": photo}), crew.now)

    with following(crew, laptop, place) as stick:
        for number in range(2):
            told(f"a{number}", name)
            told(f"b{number}", "crew 1")
            level(crew, stick, place)
        wait((place / "photos" / f"{photo}.jpg").exists, what="the photo")
    (place / "OH-log-2.sqlite").write_bytes((place / "OH-log-1.sqlite").read_bytes())
    assert (place / "OH-log.jsonl").read_bytes().count(name.encode()) == 1
    found = read_stick(place, site.kit)
    target = tmp_path_factory.mktemp("next") / "log.sqlite"
    restore_stick(dataclasses.replace(found, copy=None, in_copy=0), target, site.kit)
    assert [entry.called for entry in read_log(target, site.kit)] == [name, "crew 1"] * 2
    crew.book.forget({photo, *crew.book.names.of(name)})
    with following(crew, laptop, place) as stick:
        wait(lambda: stick.status().copied_at and not stick.status().behind, what="a whole copy")
    assert [path.name for path in place.rglob("*") if path.is_file() and name.encode() in path.read_bytes()] == []
    assert not (place / "photos" / f"{photo}.jpg").exists()
    assert not list(place.glob("*kept*"))
    restore_stick(read_stick(place, site.kit), target, site.kit)
    assert [entry.by for entry in read_log(target, site.kit)][1::2] == ["crew 1"] * 2
    with SiteBook.open(site.kit, site.plan, target) as book:
        assert not book.names.of(name)
