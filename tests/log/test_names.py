"""Names stand outside the entries: forgotten they are gone from every file, and from every laptop that joins."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import StoreError
from fieldapp.base.said import in_words
from fieldapp.cli import main
from fieldapp.log.backup import backup, export_lines, read_export, restore
from fieldapp.log.book import SiteBook
from fieldapp.log.chain import gaps
from fieldapp.log.entry import Request, is_pseudonym
from fieldapp.log.joining import check_entries, join, review
from fieldapp.log.kinds import KINDS
from fieldapp.log.lines import from_line, to_line
from fieldapp.log.names import Names, names_from, names_line, persons
from fieldapp.log.opening import open_book
from fieldapp.log.reading import read_log
from fieldapp.wording.log import entry_words

HUB, STRUT, NAME = "OH-H01-6", "OH-S001-7", "Wilhelmina Ødegård"
PORCH = Path(__file__).parents[1] / "data" / "cider-porch"


def wrote(book, now, key, kind, part=HUB, who=NAME, **data):
    return book.submit(Request(key, kind, part, who=who, data=data, chief=True), now)


def mended(book, now, by=NAME):
    """Three entries, with a name in each place that may hold one."""
    return (wrote(book, now, "k1", "damaged", what="arm_cracked", arm=2, severity="bad"),
            wrote(book, now, "k2", "repaired", how="scarf", by=by, arm=2),
            wrote(book, now, "k3", "released", name=by, words="looked at"))


def opened(site, path):
    path.parent.mkdir(exist_ok=True)
    return SiteBook.open(site.kit, site.plan, path)


def exported(book, **how):
    return list(export_lines(book.entries(), book.site.kit, book.laptops.values(), book.names.forgotten, **how))


def takes_in(book, lines, now):
    brought = read_export(lines, book.site.kit).without(book.names)
    check_entries(brought.entries, book.site.kit, now)
    join(book, brought, review(book.state, brought, book.laptops), now)


def test_every_field_that_names_a_person_is_of_that_sort():
    """Those that no kind marks are names of things: raises, rounds, boxes, classes; a new one is to be thought of."""
    assert {kind.name: kind.persons for kind in KINDS.values() if kind.persons} == {
        "raise_started": ("by",), "repaired": ("by",), "released": ("name",)}
    assert {(kind.name, field) for kind in KINDS.values() for field in kind.data.model_fields
            if field in ("by", "who", "name", "person") and field not in kind.persons} == {
        ("raise_started", "name"), ("round_opened", "name")}


def test_entries_carry_pseudonyms_and_are_read_by_name(crew):
    told = mended(crew.book, crew.now)
    assert len({who for entry in told for who in persons(entry).values()}) == 1
    assert all(is_pseudonym(who) and NAME not in to_line(entry) for entry in told for who in persons(entry).values())
    for entry in (*told, *crew.book.entries()):
        assert (entry.called, in_words(entry.named), entry.by) == (NAME, NAME, NAME)
    assert [NAME in in_words(entry_words(entry, crew.book.state)) for entry in told] == [False, True, True]
    other = wrote(crew.book, crew.now, "k4", "fitted", STRUT, who="~ABCDEFGHIJ")
    assert other.who not in (told[0].who, "~ABCDEFGHIJ")


def test_forgotten_is_gone_from_file_from_wal_and_from_exports_and_breaks_no_chain(crew):
    book, path = crew.book, crew.book._store.path
    entries = mended(book, crew.now)
    state = book.state
    others = [wrote(book, crew.now, f"o{n}", "damaged", STRUT, who=f"crew {n}", what="dented") for n in range(40)]
    assert NAME.encode() in path.read_bytes() + Path(f"{path}-wal").read_bytes()
    book.forget(book.names.of(NAME.upper()))
    for file in (path, Path(f"{path}-wal")):
        assert NAME.encode() not in file.read_bytes()
    assert NAME not in "".join(exported(book))
    assert book.entries()[:3] == entries
    assert gaps(book.entries(), book.laptops) == ()
    assert book.state.parts[HUB] == state.parts[HUB]
    assert in_words(book.entries()[0].named) == "somebody"
    assert "somebody" in in_words(entry_words(book.entries()[1], book.state))
    assert [entry.called for entry in book.entries()[3:]] == [entry.called for entry in others]
    again = wrote(book, crew.now, "k9", "damaged", STRUT, what="dented")
    assert (again.called, again.who != entries[0].who) == (NAME, True)
    book.close()
    with opened(crew.book.site, path) as reopened:
        assert in_words(reopened.entries()[0].named) == "somebody"


def test_the_file_itself_refuses_a_name_that_was_forgotten(crew):
    mended(crew.book, crew.now)
    pseudonym = next(iter(crew.book.names.of(NAME)))
    crew.book.forget([pseudonym])
    crew.book.close()
    with closing(sqlite3.connect(crew.book._store.path)) as file:
        for statement in ("INSERT INTO names VALUES (?, 'x')", "INSERT OR REPLACE INTO names VALUES (?, 'x')",
                          "DELETE FROM forgotten WHERE what = ?", "INSERT OR REPLACE INTO forgotten VALUES (?)"):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                file.execute(statement, (pseudonym,))


def test_forgetting_travels_and_an_old_copy_does_not_bring_it_back(crew, site, tmp_path):
    a = crew.book
    mended(a, crew.now)
    early, copy = exported(a), backup(a._store.path, tmp_path / "copy.sqlite")
    with opened(site, tmp_path / "b" / "log.sqlite") as b:
        takes_in(b, early, crew.now)
        assert b.entries()[0].called == NAME
        a.forget(a.names.of(NAME))
        takes_in(b, exported(a, bare=True), crew.now)
        takes_in(b, early, crew.now)
        assert in_words(b.entries()[0].named) == "somebody"
        assert NAME.encode() not in b._store.path.read_bytes() + Path(f"{b._store.path}-wal").read_bytes()
        takes_in(a, exported(b), crew.now)
    a.close()
    restore(copy, a._store.path, site.kit)
    assert NAME.encode() in copy.read_bytes()
    assert NAME.encode() not in a._store.path.read_bytes()
    assert in_words(read_log(a._store.path)[0].named) == "somebody"


def test_lines_without_names_are_joined_and_named_when_the_names_come(crew, site, tmp_path):
    mended(crew.book, crew.now)
    assert NAME not in "".join(exported(crew.book, bare=True))
    with opened(site, tmp_path / "b" / "log.sqlite") as b:
        takes_in(b, exported(crew.book, bare=True), crew.now)
        assert in_words(b.entries()[0].named) == "somebody"
        takes_in(b, exported(crew.book), crew.now)
        assert b.entries()[0].called == NAME
        assert b.state.entries == crew.book.state.entries


def test_an_entry_of_this_version_that_holds_a_name_is_not_let_in(crew, site):
    told = mended(crew.book, crew.now)
    for number, field in ((0, {"who": NAME}), (1, {"data": {**told[1].data, "by": NAME}})):
        forged = from_line(json.dumps({**json.loads(to_line(told[number])), **field}), 2)
        with pytest.raises(StoreError, match="holds the name of a person"):
            check_entries([forged], site.kit, crew.now)


@pytest.mark.parametrize("line", ['{"names":{"~A":"x"}}', '{"names":{"~ABCDEFGHIJ":""}}', '{"names":[]}',
                                  '{"names":{"~ABCDEFGHIJ":3}}', '{"forgotten":["../x"]}', '{"forgotten":[1]}',
                                  '{"names":{"~ABCDEFGHIJ":"\\ud800"}}', '{"names":{},"more":1}'])
def test_a_line_of_names_that_is_none_is_refused_by_its_number(line):
    with pytest.raises(StoreError, match="line 2 does not give names"):
        names_from(line, 2)


def test_entries_of_an_older_program_get_the_same_pseudonyms_on_every_laptop(tmp_path):
    """A folder of version 2: its names move out before any chain starts; the older lines join it without doubles."""
    folder = shutil.copytree(PORCH, tmp_path / "porch")
    before = read_log(folder / "log.sqlite")
    older = [json.dumps({"raisebook_log": 1, "kit": "CP"}) + "\n", *(to_line(entry) + "\n" for entry in before)]
    with open_book(folder) as book:
        after = book.entries()
        assert [entry.called for entry in after] == [entry.who for entry in before]
        assert [(e.key, e.number, e.order_ms) for e in after] == [(e.key, e.number, e.order_ms) for e in before]
        assert [entry.names.get(str(entry.data["by"])) for entry in after if entry.kind == "repaired"] == [
            entry.data["by"] for entry in before if entry.kind == "repaired"]
        assert all(map(is_pseudonym, (who for entry in after for who in persons(entry).values())))
        assert not any("carpenter 1" in to_line(entry) for entry in after)
        kept, now = book.kept_older, max(entry.at for entry in after)
        book.forget(book.names.of("carpenter 1"))
        takes_in(book, older, now)
        assert len(book.entries()) == len(before)
        assert not book.names.of("carpenter 1")
        assert "carpenter 1" not in "".join(exported(book))
    assert b"carpenter 1" not in (folder / "log.sqlite").read_bytes()
    assert b"carpenter 1" in kept.read_bytes()


def test_the_command_forgets_offers_the_copies_and_says_what_it_cannot_reach(tmp_path):
    folder = shutil.copytree(PORCH, tmp_path / "porch")

    def run(*words, answer=None):
        return CliRunner().invoke(main, ["forget", str(folder), *words], input=answer)

    listed = run()
    assert "names that people typed stand in it" in listed.output
    assert "carpenter 1\nchief\ncrew 1\n" in listed.output
    refused = run("nobody known")
    assert (refused.exit_code, "carpenter 1, chief, crew 1" in refused.output) == (3, True)
    assert run("Carpenter 1", answer="n\n").exit_code == 1
    done = run("Carpenter 1", answer="y\ny\n")
    assert done.exit_code == 0, done.output
    for words in ("Carpenter 1 is forgotten: pages say somebody", "log.version-2.sqlite may hold the name still",
                  "Deleted", "Not reached: photos (--photo), papers, phones"):
        assert words in done.output
    assert not list(folder.glob("log.version-*"))
    assert "carpenter 1" not in run().output


def test_a_photo_is_erased_its_digest_stays_and_no_copy_brings_it_back(tmp_path):
    folder, elsewhere = shutil.copytree(PORCH, tmp_path / "porch"), tmp_path / "stick"
    digest = sorted((folder / "photos").iterdir())[0].stem
    assert CliRunner().invoke(main, ["backup", str(folder), "--to", str(elsewhere)]).exit_code == 0
    wrong = CliRunner().invoke(main, ["forget", str(folder), "--photo", "f" * 64, "--yes"])
    assert (wrong.exit_code, "no entry has a photo" in wrong.output) == (3, True)
    done = CliRunner().invoke(main, ["forget", str(folder), "--photo", f"{digest}.jpg", "--yes"])
    assert done.exit_code == 0, done.output
    assert not (folder / "photos" / f"{digest}.jpg").exists()
    copy = next(elsewhere.glob("log-*.sqlite"))
    restored = CliRunner().invoke(main, ["restore", str(folder), str(copy)])
    assert restored.exit_code == 0, restored.output
    assert not (folder / "photos" / f"{digest}.jpg").exists()
    with open_book(folder) as book:
        assert [entry.erased for entry in book.entries() if entry.data.get("photo") == digest] == [True]
        assert sum(entry.erased for entry in book.entries()) == 1
    assert (elsewhere / "photos" / f"{digest}.jpg").exists()
    assert CliRunner().invoke(main, ["backup", str(folder), "--to", str(elsewhere)]).exit_code == 0
    assert not (elsewhere / "photos" / f"{digest}.jpg").exists()


PSEUDONYMS = st.sampled_from([f"~{letter * 10}" for letter in "ABC"])
OUTSIDE = st.builds(Names, st.dictionaries(PSEUDONYMS, st.sampled_from(["Ada", "Bo", "Cy"])),
                    st.frozensets(PSEUDONYMS))


@given(a=OUTSIDE, b=OUTSIDE, c=OUTSIDE)
def test_what_stands_outside_is_the_same_in_whatever_order_it_comes_together(a, b, c):
    assert a.merged(b) == b.merged(a)
    assert a.merged(b).merged(c) == a.merged(b.merged(c))
    assert a.merged(b).merged(b) == a.merged(b)
    both = a.merged(b)
    assert not both.known.keys() & (a.forgotten | b.forgotten)
    assert both == Names() or names_from(names_line(both), 2) == both


ACTS = st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from(["write", "write", "forget", "join", "export"]),
                          st.sampled_from(["Ada", "Bo"])), min_size=3, max_size=9)


@settings(deadline=None, max_examples=12, derandomize=True,
          suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(acts=ACTS)
def test_forgetting_and_joining_come_to_the_same_in_any_order(site, tmp_path_factory, crew, acts):
    """Whatever two laptops write, forget and join, and however old the lines: at the end both tell the same names, and
    no pseudonym that was forgotten on either has one."""
    folder = tmp_path_factory.mktemp("pair")
    two = {name: opened(site, folder / name / "log.sqlite") for name in "ab"}
    lines = {name: exported(book) for name, book in two.items()}
    forgotten = set()
    for number, (name, act, who) in enumerate(acts):
        book, other = two[name], "b" if name == "a" else "a"
        if act == "write":
            wrote(book, crew.now, f"{name} {number}", "damaged", STRUT, who=who, what="dented")
        elif act == "forget":
            forgotten |= book.names.of(who)
            book.forget(book.names.of(who))
        elif act == "export":
            lines[name] = exported(book)
        else:
            takes_in(book, lines[other], crew.now)
    for _again in range(2):
        takes_in(two["a"], exported(two["b"]), crew.now)
        takes_in(two["b"], exported(two["a"]), crew.now)
    told = [[(entry.key, entry.who, entry.called) for entry in book.state.entries] for book in two.values()]
    assert len(told[0]) >= sum(act == "write" for _name, act, _who in acts)
    assert told[0] == told[1]
    assert two["a"].names == two["b"].names
    assert not forgotten & two["a"].names.known.keys()
    assert all(is_pseudonym(called) == (who in forgotten) for _key, who, called in told[0])
    for book in two.values():
        book.close()
