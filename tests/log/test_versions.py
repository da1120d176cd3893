"""A log outlives the program that wrote it, and stays with its kit: older ones open, newer and foreign ones do not."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from fieldapp.base.errors import StoreError
from fieldapp.kit import build_kit
from fieldapp.log import tables
from fieldapp.log.backup import backup, export_lines, import_lines, restore
from fieldapp.log.book import SiteBook
from fieldapp.log.mark import mark_of
from fieldapp.log.names import veiled_older
from fieldapp.log.reading import read_log
from fieldapp.log.store import Store
from fieldapp.plan.order import level_order

VERSION_1 = (Path(__file__).parent / "version_1.sql").read_text(encoding="utf-8")


@pytest.fixture
def old_log(tmp_path):
    """A log of version 1."""
    path = tmp_path / "log.sqlite"
    with closing(sqlite3.connect(path)) as made:
        made.executescript(VERSION_1)
        made.execute("PRAGMA journal_mode = WAL")
    return path


def kit_with(kit, **answers):
    """Another kit: the same design with other answers about the frame."""
    frame = kit.design.frame.model_copy(update=answers)
    return build_kit(kit.design.model_copy(update={"frame": frame}))


def opened(kit, path):
    return SiteBook.open(kit, level_order(kit.frame, kit.design), path)


def test_a_log_of_version_1_opens_with_all_that_it_held(kit, old_log):
    """What the program of that time folded it to is written here as it said it."""
    before = read_log(old_log, kit)
    with opened(kit, old_log) as book:
        state = book.state
        assert [entry.key for entry in book.entries()] == [*(f"key {n}" for n in range(1, 15)), "key 101", "key 102",
                                                           "key 15"]
        assert book.entries() == tuple(map(veiled_older, before))
        assert [entry.names for entry in book.entries() if entry.names] == [
            {"~ISECUQOEVF": "carpenter"}, {"~EPLHL5XWKN": "carpenter"}]
    assert state.fitted == {"H01": "OH-H01-6", "H02": "OH-H02-4", "H03": "OH-H03-2", "S001": "OH-S068-6",
                            "S003": "OH-S003-3"}
    assert (state.phase, list(state.made), list(state.withdrawn), state.last_number) == ("raising", ["OH-S068-6"],
                                                                                         ["key 13"], 17)
    assert {part for part, past in state.parts.items() if past.condition == "watch"} == {"OH-S001-7"}
    assert [clash.key for clash in state.clashes] == ["key 4"]
    assert read_log(old_log.with_name("log.version-1.sqlite")) == before
    with closing(sqlite3.connect(old_log)) as file:
        assert file.execute("SELECT * FROM versions").fetchall() == [(1, "entries kept"), (2, "kit marked"),
                                                                      (3, "entries chained")]


def test_a_migrated_log_has_the_tables_and_triggers_of_a_new_one(kit, old_log, tmp_path):
    def schema(path):
        with closing(sqlite3.connect(path)) as file:
            return {(kind, name, " ".join(sql.split()) if sql else None) for kind, name, sql in file.execute(
                "SELECT type, name, sql FROM sqlite_master")}

    for path in (old_log, tmp_path / "new.sqlite"):
        opened(kit, path).close()
    assert schema(old_log) == schema(tmp_path / "new.sqlite")


def test_a_copy_kept_before_a_migration_is_never_written_over(kit, old_log):
    opened(kit, old_log).close()
    kept = old_log.with_name("log.version-1.sqlite")
    bytes_kept = kept.read_bytes()
    restore(kept, old_log, kit)
    opened(kit, old_log).close()
    assert kept.read_bytes() == bytes_kept
    assert len(read_log(old_log.with_name("log.version-1-2.sqlite"))) == 17


def test_a_log_of_a_later_version_is_refused_with_both_numbers(kit, old_log, monkeypatch):
    monkeypatch.setattr(tables, "MIGRATIONS", [*tables.MIGRATIONS, ("later", lambda connection: None)])
    Store.open(old_log).close()
    monkeypatch.undo()
    for attempt in (lambda: opened(kit, old_log), lambda: read_log(old_log), lambda: restore(old_log, old_log, kit)):
        with pytest.raises(StoreError) as caught:
            attempt()
        assert str(caught.value) == (
            f"the log {old_log} has version 4; this program reads up to version 3. Install the newer program that "
            "wrote it; the file was left as it is")


def test_a_migration_that_fails_leaves_the_file_as_it_was(kit, old_log, monkeypatch):
    def fail(connection):
        connection.execute(sa.text("ALTER TABLE entries ADD COLUMN note TEXT"))
        connection.execute(sa.text("no such statement"))

    before = read_log(old_log)
    monkeypatch.setattr(tables, "MIGRATIONS", [*tables.MIGRATIONS, ("broken", fail)])
    with pytest.raises(StoreError):
        opened(kit, old_log)
    monkeypatch.undo()
    assert read_log(old_log) == before
    opened(kit, old_log).close()


OTHERS = [
    ({"prefix": "MF", "name": "Mill Field"}, "is of kit OH (My frame), this is kit MF (Mill Field)"),
    ({"frequency": 3, "cut": "4/9"}, "is of another kit OH (My frame): its hubs and struts are others"),
    ({"diameter_m": 6.0}, "is of another kit OH (My frame): its struts of class A are 1176 mm long, those of this kit "
                          "1450 mm"),
]


@pytest.mark.parametrize(("answers", "words"), OTHERS)
def test_a_log_of_another_kit_is_refused_by_serve_restore_and_import(kit, crew, tmp_path, answers, words):
    other, log = kit_with(kit, **answers), tmp_path / "log.sqlite"
    crew.done("fitted", "OH-S001-7")
    lines = list(export_lines(crew.book.entries(), kit))
    copy = backup(log, tmp_path / "copy.sqlite")
    crew.book.close()
    for attempt in (lambda: opened(other, log), lambda: read_log(log, other), lambda: restore(copy, log, other),
                    lambda: import_lines(lines, other)):
        with pytest.raises(StoreError) as caught:
            attempt()
        said = str(caught.value).replace(f"the log {log}", "it").replace(f"the log {copy}", "it")
        assert words in said or said.startswith("the exported log is of kit OH, this is kit MF")
        assert "Choose the file of this kit" in said or "Put the log of this kit there; or move that one away" in said
    assert len(read_log(log, kit)) == 1


def test_an_old_log_takes_the_mark_of_the_kit_that_its_parts_fit(kit, old_log):
    other = kit_with(kit, prefix="MF")
    with pytest.raises(StoreError, match=r"tells of parts that kit MF \(My frame\) has not, 6 of them, first OH-H01-6"):
        opened(other, old_log)
    assert not old_log.with_name("log.version-1.sqlite").exists()
    opened(kit, old_log).close()
    with pytest.raises(StoreError, match="is of kit OH"):
        opened(other, old_log)


def test_laptops_of_one_kit_read_each_others_logs_whatever_changed_in_its_life(kit, crew):
    """Spares added, another name, another crew: the labelled parts are the same, and so is the kit."""
    crew.done("fitted", "OH-S001-7")
    design = kit.design.model_copy(update={
        "frame": kit.design.frame.model_copy(update={"name": "New name", "diameter_m": 5.001}),
        "spares": kit.design.spares.model_copy(update={"struts_each": 4})})
    later = build_kit(design)
    assert len(later.parts) > len(kit.parts)
    assert mark_of(later) != mark_of(kit)
    assert import_lines(export_lines(crew.book.entries(), kit), later) == crew.book.entries()
    log = crew.book._store.path
    crew.book.close()
    opened(later, log).close()


def test_another_programs_database_is_left_alone(kit, tmp_path):
    path = tmp_path / "log.sqlite"
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("CREATE TABLE recipes (name TEXT)")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="is no log: it holds the table recipes of another program"):
        opened(kit, path)
    with pytest.raises(StoreError, match="is damaged or is no log"):
        read_log(path)
    with closing(sqlite3.connect(path)) as other:
        assert other.execute("SELECT name FROM sqlite_master").fetchall() == [("recipes",)]
    assert len(before) == len(path.read_bytes())
