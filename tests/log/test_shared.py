"""A log on a database server: the same refusals, numbers without gaps, several laptops at once, trouble in words."""

import threading
from datetime import timedelta

import pytest
import sqlalchemy as sa
from log.conftest import MORNING, Crew
from log.postgres import binaries

from fieldapp.base.errors import StoreError
from fieldapp.log.backup import export_lines, read_export
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import fold
from fieldapp.log.joining import join, review
from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.follow import Follower
from fieldapp.log.shared.moving import from_server, to_server
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.shared.tables import schema_of

pytestmark = pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql")


def test_entries_are_kept_and_read_again_as_they_were(opened, site):
    first = opened()
    first.done("fitted", "OH-S001-7")
    first.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad", words="Ast – gerissen 🪵")
    first.done("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2, capacity=0.6)
    again = opened(1).book
    assert again.entries() == first.book.entries()
    assert again.state == first.book.state == fold(site.kit, again.entries())
    assert "carpenter" in again.names.known.values()


def test_a_database_made_where_no_language_was_set_keeps_all_letters(shared_server, site, tmp_path):
    database = shared_server.database(site.kit, "ENCODING 'SQL_ASCII' TEMPLATE template0")
    address = shared_server.address("site", database)
    for _twice in range(2):
        with SiteBook(site, SharedStore.open(address, tmp_path / "log.sqlite", site.kit)) as book:
            Crew(book).done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad", words="Ast – gerissen 🪵")
            assert [entry.data["words"] for entry in book.entries()] == ["Ast – gerissen 🪵"]


def test_two_laptops_decide_on_what_both_wrote(opened):
    one, two = opened(0), opened(1)
    one.done("fitted", "OH-S001-7")
    assert "already" in two.ask("fitted", "OH-S001-7").message
    two.done("taken_down", "OH-S001-7")
    assert one.book.catch_up() == 1
    assert one.book.state.fitted == {}
    assert [entry.number for entry in one.book.entries()] == [1, 2]
    assert one.book.laptop != two.book.laptop


def test_many_who_write_at_once_leave_no_gap_and_nothing_twice(opened):
    books = [opened(number).book for number in range(3)]
    parts = [part.id for part in books[0].site.kit.parts if part.kind == "strut"][:24]
    outcomes = []

    def phone(number):
        for index in range(8):
            book = books[(number + index) % 3]
            key = f"phone {number % 6} press {index}"       # every key is sent by two phones
            request = Request(key=key, kind="damaged", part=parts[number], sender=f"phone {number}",
                              data={"what": "split", "severity": "slight"})
            outcomes.append((key, book.submit(request, MORNING + timedelta(seconds=index))))

    threads = [threading.Thread(target=phone, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not [outcome for _key, outcome in outcomes if not isinstance(outcome, Entry)]
    for book in books:
        book.catch_up()
    numbers = [entry.number for entry in books[0].entries()]
    assert numbers == list(range(1, 49))
    assert len({key for key, _outcome in outcomes}) == 48
    assert books[0].state == books[1].state == books[2].state


@pytest.mark.parametrize("statement", [
    "UPDATE entries SET who = 'me'", "DELETE FROM entries", "TRUNCATE entries", "TRUNCATE names",
    "INSERT INTO entries SELECT 7, 'k', kind, part, place, who, sender, at, sent_at, order_ms, data, 'd', 1 "
    "FROM entries",
    "UPDATE counter SET last = 1", "DELETE FROM counter", "UPDATE kit SET mark = ''", "DELETE FROM kit",
    "INSERT INTO kit VALUES ('{}')", "UPDATE versions SET version = 9", "DELETE FROM laptops"])
def test_the_server_itself_refuses_changed_history(opened, owner, statement):
    crew = opened()
    crew.done("fitted", "OH-S001-7")
    before = owner("SELECT * FROM entries")
    with pytest.raises(sa.exc.DBAPIError, match=r"never changed|one_kit"):
        owner(statement)
    assert owner("SELECT * FROM entries") == before


def test_the_role_that_serves_may_add_and_read_and_no_more(opened, shared_server, database, site):
    opened().done("fitted", "OH-S001-7")
    engine = engine_for(shared_server.address("site", database), schema_of(site.kit))
    for statement in ("UPDATE entries SET who = 'me'", "DELETE FROM entries", "DROP TABLE entries",
                      "ALTER TABLE entries DISABLE TRIGGER ALL", "UPDATE laptops SET branch = 'x'",
                      "DELETE FROM forgotten", "CREATE TABLE more (a int)"):
        with pytest.raises(sa.exc.ProgrammingError, match=r"permission denied|must be owner|no schema"), \
                engine.begin() as connection:
            connection.execute(sa.text(statement))
    engine.dispose()


def test_a_name_is_forgotten_for_all(opened):
    one, two = opened(0), opened(1)
    one.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad")
    one.done("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2)
    two.book.catch_up()
    who = next(who for who, name in two.book.names.known.items() if name == "carpenter")
    two.book.forget([who])
    one.book.catch_up()
    assert "carpenter" not in one.book.names.known.values()
    assert who in one.book.names.forgotten


def test_others_hear_of_an_entry_at_once_also_after_the_server_was_away(opened, shared_server, database, site):
    one, two = opened(0), opened(1)
    follower = Follower(shared_server.address("site", database), {schema_of(site.kit): two.book}).start()
    try:
        heard = threading.Event()
        two.book.listeners.append(heard.set)
        one.done("fitted", "OH-S001-7")
        assert heard.wait(10)
        shared_server.stop()
        shared_server.start()
        heard.clear()
        one.done("fitted", "OH-S002-5")
        assert heard.wait(10)
        assert two.book.state == one.book.state
    finally:
        follower.stop()


def test_a_log_moves_to_the_server_and_back_with_all_it_held(shared_server, site, crew, tmp_path):
    crew.done("fitted", "OH-S001-7")
    crew.done("damaged", "OH-H01-6", what="arm_cracked", arm=2, severity="bad")
    crew.done("repaired", "OH-H01-6", how="scarf", by="carpenter", arm=2)
    before, names = crew.book.entries(), crew.book.names
    crew.book.close()
    database = shared_server.database()
    address = shared_server.address(database=database)
    assert to_server(tmp_path, site.kit, address, role="site") == 3
    with pytest.raises(StoreError, match="was moved to a database server"):     # nobody begins an empty one by mistake
        SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite")
    with SiteBook(site, SharedStore.open(shared_server.address("site", database), tmp_path / "log.sqlite",
                                         site.kit)) as book:
        assert (book.entries(), book.names) == (before, names)
        crew.book = book
        crew.done("fitted", "OH-S002-5")
    home = tmp_path / "home"
    home.mkdir()
    assert from_server(shared_server.address("site", database), home, site.kit) == 4
    with SiteBook.open(site.kit, site.plan, home / "log.sqlite") as book:
        assert book.entries()[:3] == before
        assert book.names == names
        crew.book = book
        assert crew.done("fitted", "OH-S003-3").number == 5
        brought = read_export(list(export_lines(book.entries(), site.kit, book.laptops.values())), site.kit)
    with SiteBook(site, SharedStore.open(shared_server.address("site", database), tmp_path / "log.sqlite",
                                         site.kit)) as book:        # home from a field without this network
        Crew(book, 900).done("fitted", "OH-S004-1")
        join(book, brought, review(book.state, brought, book.laptops), crew.now)
        assert sorted(book.state.fitted) == ["S001", "S002", "S003", "S004"]
        assert [entry.number for entry in book.entries()] == list(range(1, book.last_number + 1))


def test_what_is_no_store_is_said(shared_server, kit, site, tmp_path):
    for address, words in (("postgresql://site@/nowhere", "does not answer"), ("mysql://x/y", "allowed is postgresql"),
                           (shared_server.address(), "has no log of the kit OH")):
        with pytest.raises(StoreError, match=words):
            SharedStore.open(address, tmp_path / "log.sqlite", kit)
