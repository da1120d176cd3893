"""What travels with a log and comes back: to a stick while it is served, and from it onto another laptop."""

import hashlib
import shutil
from datetime import UTC, datetime

import pytest
from owner_alone import owner_alone

from fieldapp.kit import build_kit
from fieldapp.kit.file import read_kit, write_kit
from fieldapp.kit.site_key import site_key
from fieldapp.log.entry import Request
from fieldapp.log.opening import open_book
from fieldapp.log.reading import read_log
from fieldapp.web.common.rights import chief_hash

HUB, STRUT = "OH-H01-6", "OH-S001-7"
PHOTO = hashlib.sha256(b"a picture").hexdigest() + ".jpg"


@pytest.fixture
def used(folder):
    """A kit with a log, a photo, a join code and a pass phrase."""
    submit(folder, "first-key-0000000", HUB)
    site_key(folder)
    chief_hash(folder, "apple cart long rope")
    (folder / "photos").mkdir()
    (folder / "photos" / PHOTO).write_bytes(b"a picture")
    return folder


def submit(folder, key, part):
    with open_book(folder) as book:
        book.submit(Request(key, "fitted", part), datetime.now(UTC))


@pytest.mark.thorough
def test_a_backup_brings_everything_back_onto_an_empty_laptop(used, serve, browser, command, tmp_path):
    stick, other = tmp_path / "stick", tmp_path / "other laptop"
    phone = browser(serve(used))
    assert phone.press(f"/P/{STRUT}/fitted", "second-key-000000")[0] == 303
    status, said = command("backup", used, "--to", stick)
    assert (status, "With it: kit.json, site-key.json, chief-phrase.hash, sessions.json." in said) == (0, True), said
    assert "keep the copy as you keep a key" in said
    assert "With it: 1 photos" in said
    [copy] = stick.glob("log-*.sqlite")
    status, said = command("restore", tmp_path / "wary", copy)
    assert (status, "Not taken, since nobody was asked: site-key.json, chief-phrase.hash, sessions.json" in said) == \
        (0, True), said
    assert not (tmp_path / "wary" / "site-key.json").exists()
    status, said = command("restore", other, copy, "--codes")
    assert (status, "Brought back, because" in said, "1 photos were brought back" in said) == (0, True, True), said
    for name in ("kit.json", "site-key.json", "chief-phrase.hash", f"photos/{PHOTO}"):
        assert (other / name).read_bytes() == (used / name).read_bytes()
    assert owner_alone(other / "site-key.json")
    assert [entry.key for entry in read_log(other / "log.sqlite")] == ["first-key-0000000", "second-key-000000"]
    assert "Sits here" in browser(serve(other)).get("/place/S001")[1]


def test_a_backup_beside_the_log_says_that_it_is_no_second_disk(used, command):
    status, said = command("backup", used)
    assert (status, "It lies beside the log" in said) == (0, True)
    [copy] = used.glob("log-*.sqlite")
    submit(used, "second-key-000000", STRUT)
    status, said = command("restore", used, copy)
    assert (status, "is kept as" in said) == (0, True)
    assert len(read_log(used / "log.sqlite")) == 1


def test_a_backup_is_never_mixed_with_another_kits(used, command, tmp_path):
    kit = read_kit(used)
    frame = kit.design.frame.model_copy(update={"prefix": "MF", "name": "Mill Field"})
    write_kit(tmp_path / "mill", build_kit(kit.design.model_copy(update={"frame": frame})))
    status, said = command("backup", used, "--to", tmp_path / "mill")
    assert (status, "holds kit MF (Mill Field), not OH (Orchard Hall)" in said) == (3, True)
    command("backup", used, "--to", tmp_path / "copy.sqlite")
    command("log", "export", used, "--to", tmp_path / "day.jsonl")
    for words in (("restore", tmp_path / "mill", tmp_path / "copy.sqlite"),
                  ("log", "import", tmp_path / "mill", tmp_path / "day.jsonl")):
        status, said = command(*words)
        assert (status, "is of kit OH" in said, "this is kit MF" in said) == (5, True, True), said
    assert not (tmp_path / "mill" / "log.sqlite").exists()


def link(path, to):
    """A link, where whoever runs the tests may make one."""
    try:
        path.symlink_to(to, target_is_directory=to.is_dir())
    except OSError:
        pytest.skip("no links may be made here")


def test_a_crafted_copy_brings_in_nothing_from_elsewhere(used, command, tmp_path):
    stick, other = tmp_path / "stick", tmp_path / "other laptop"
    command("backup", used, "--to", stick)
    [copy] = stick.glob("log-*.sqlite")
    private = tmp_path / "private.txt"
    private.write_text("nobody's business")
    name = f"{hashlib.sha256(private.read_bytes()).hexdigest()}.jpg"
    link(stick / "photos" / name, private)
    (stick / "photos" / f"{'b' * 64}.jpg").write_bytes(b"another picture than its name says")
    status, said = command("restore", other, copy)
    assert status == 0, said
    assert f"Not brought: {name} is a link" in said
    assert "1 photos were brought back" in said
    assert [path.name for path in (other / "photos").iterdir()] == [PHOTO]
    (stick / "photos").rename(stick / "elsewhere")
    link(stick / "photos", stick / "elsewhere")
    assert "0 photos were brought back" in command("restore", tmp_path / "second", copy)[1]
    link(stick / "design.toml", private)
    status, said = command("restore", tmp_path / "third", copy)
    assert (status, "design.toml is a link to another place, and none is followed" in said) == (3, True), said


def test_photos_that_do_not_come_back_do_not_hide_that_the_log_did(used, command, tmp_path):
    command("backup", used, "--to", tmp_path / "stick")
    [copy] = (tmp_path / "stick").glob("log-*.sqlite")
    for number in range(3):
        other = b"another %d" % number
        (tmp_path / "stick" / "photos" / f"{hashlib.sha256(other).hexdigest()}.jpg").write_bytes(other)
    shutil.rmtree(used / "photos")
    (used / "photos").write_text("in the way")
    status, said = command("restore", used, copy)
    assert status == 3
    assert f"The log of {used} is now the one of {copy}." in said
    assert "0 of 4 photos were copied" in said
    (used / "photos").unlink()
    assert "4 photos were brought back" in command("restore", used, copy)[1]


def test_lines_say_that_they_carry_no_photos_and_a_file_takes_them_along(used, command, made_kit, tmp_path):
    said = command("log", "export", used)[1]
    assert "The 1 photos of" in said
    assert "are not among these lines." in said
    status, said = command("log", "export", used, "--to", tmp_path / "stick" / "day.jsonl")
    assert (status, "Its 1 photos are in" in said) == (0, True)
    other = shutil.copytree(made_kit, tmp_path / "other")
    status, said = command("log", "import", other, tmp_path / "stick" / "day.jsonl", "--yes")
    assert (status, "1 of 1 entries were new" in said, "1 photos were new" in said) == (0, True, True), said
    assert (other / "photos" / PHOTO).read_bytes() == b"a picture"


@pytest.mark.thorough
def test_a_write_protected_stick_can_be_read(used, command, stick, tmp_path):
    """Also one that was pulled out while it was served, with its last entry in the file beside the log."""
    submit(used, "second-key-000000", STRUT)
    at_rest = shutil.copytree(used, stick.place / "at rest")
    with open_book(used) as book:
        book.submit(Request("third-key-0000000", "taken_down", STRUT), datetime.now(UTC))
        pulled = shutil.copytree(used, stick.place / "pulled")
        without_index = shutil.copytree(used, stick.place / "pulled without index")
    (without_index / "log.sqlite-shm").unlink()
    with stick.write_protected():
        for kit, entries in ((at_rest, 2), (pulled, 3), (without_index, 3)):
            for words in (("show", kit, HUB), ("labels", kit, STRUT, "--out", tmp_path / "labels.pdf"),
                          ("log", "export", kit, "--to", tmp_path / kit.name / "day.jsonl"),
                          ("backup", kit, "--to", tmp_path / kit.name / "copy.sqlite")):
                status, said = command(*words)
                assert status == 0, said
            assert len((tmp_path / kit.name / "day.jsonl").read_text().splitlines()) == 1 + entries
            assert len(read_log(tmp_path / kit.name / "copy.sqlite")) == entries
            with open_book(kit, else_read=datetime.now(UTC)) as book:      # as `serve` does
                assert (book.only_reads, len(book.entries())) == (True, entries)
        status, said = command("checks", without_index)
        assert status in (0, 1), said


def test_what_is_whole_of_a_damaged_log_is_brought_out(used, command, tmp_path):
    """Every row is held against its digest; the rest comes from a backup, in any order."""
    with open_book(used) as book:
        for number in range(200):
            book.submit(Request(f"more-key-{number:06d}", "label_reprinted", STRUT), datetime.now(UTC))
        whole = book.entries()
    command("backup", used, "--to", tmp_path / "copy.sqlite")
    log = used / "log.sqlite"
    content = bytearray(log.read_bytes())
    at = content.index(b"more-key-000100") // 4096 * 4096
    content[at:at + 4096] = bytes(4096)
    content[content.index(b"more-key-000003") + 12] += 1
    log.write_bytes(content)
    assert command("serve", used, "--port", "0")[0] == 5
    status, said = command("log", "export", used, "--damaged", "--to", tmp_path / "rest.jsonl")
    assert status == 0, said
    kept = len((tmp_path / "rest.jsonl").read_text().splitlines()) - 1
    assert 100 < kept < 200
    assert f"{kept} entries can be read, {201 - kept} cannot." in said
    log.unlink()
    carried = ("log", "import", used, tmp_path / "rest.jsonl", "--yes")
    status, said = command(*carried)
    assert (status, "only if that is gone, take it in with --with-gaps" in said) == (5, True), said
    assert f"{kept} of {kept} entries were new" in command(*carried, "--with-gaps")[1]
    command("log", "export", used, "--to", tmp_path / "rest.jsonl")
    assert command("restore", used, tmp_path / "copy.sqlite")[0] == 0
    assert "0 of " in command(*carried)[1]
    assert read_log(log) == whole


def test_entries_that_find_no_room_are_named_with_the_reason(used, command, made_kit, tmp_path):
    other = shutil.copytree(made_kit, tmp_path / "other laptop")
    submit(other, "other-key-0000000", HUB)
    command("log", "export", used, "--to", tmp_path / "day.jsonl")
    status, said = command("log", "import", other, tmp_path / "day.jsonl", "--yes", "--with-gaps")
    assert (status, "1 entries found no room" in said, "  H01 already holds OH-H01-6" in said) == (0, True, True), said
