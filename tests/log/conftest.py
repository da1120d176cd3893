"""One small kit for the tests of the log: a whole frame of frequency 2 with spares."""

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa
from log.postgres import Server

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Refusal, Request
from fieldapp.log.rules import Setting
from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.shared.tables import schema_of
from fieldapp.plan.order import level_order

MORNING = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)

SMALL = Design.model_validate({
    "frame": {"prefix": "OH", "frequency": 2, "cut": "1/2", "diameter_m": 5.0, "level_base": False},
    "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0},
    "spares": {"hubs_most_common": 1, "hubs_each_other": 1, "struts_each": 1}})


@pytest.fixture(scope="session")
def kit() -> Kit:
    return build_kit(SMALL)


@pytest.fixture(scope="session")
def site(kit: Kit) -> Setting:
    return Setting(kit, level_order(kit.frame, kit.design))


class Crew:
    """Sends requests to a book, a minute apart, each with a key of its own."""

    def __init__(self, book: SiteBook, sent: int = 0) -> None:
        self.book = book
        self.now = MORNING
        self.sent = sent

    def ask(self, kind: str, part: str | None = None, place: str | None = None, /, *, sender: str = "phone 3",
            chief: bool = False, **data: object) -> Entry | Refusal:
        self.sent += 1
        request = Request(key=f"key {self.sent}", kind=kind, part=part, place=place, sender=sender, chief=chief,
                          data=data)
        outcome = self.book.submit(request, self.now)
        self.now += timedelta(minutes=1)
        return outcome

    def done(self, kind: str, part: str | None = None, place: str | None = None, /, *, sender: str = "phone 3",
             chief: bool = False, **data: object) -> Entry:
        outcome = self.ask(kind, part, place, sender=sender, chief=chief, **data)
        assert isinstance(outcome, Entry), outcome
        return outcome

    def refused(self, kind: str, part: str | None = None, place: str | None = None, /, *, sender: str = "phone 3",
                chief: bool = False, **data: object) -> str:
        before = self.book.state
        outcome = self.ask(kind, part, place, sender=sender, chief=chief, **data)
        assert isinstance(outcome, Refusal), outcome
        assert self.book.state == before
        return f"{outcome.message} {outcome.what_next}"


@pytest.fixture(scope="session")
def shared_server() -> Iterator[Server]:
    """A database server of this run, with a role that serves."""
    made = Server()
    made.ask("CREATE ROLE site LOGIN")
    yield made
    made.remove()


@pytest.fixture
def crew(site: Setting, tmp_path, request: pytest.FixtureRequest):
    """Of a log in a file; where `RAISEBOOK_TEST_STORE=shared` is set, of one on a database server."""
    if os.environ.get("RAISEBOOK_TEST_STORE") != "shared":
        with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
            yield Crew(book)
        return
    server: Server = request.getfixturevalue("shared_server")
    store = SharedStore.open(server.address("site", server.database(site.kit)), tmp_path / "log.sqlite", site.kit)
    with SiteBook(site, store) as book:
        yield Crew(book)


@pytest.fixture
def database(shared_server: Server, kit: Kit) -> str:
    """A database with the tables of the kit."""
    return shared_server.database(kit)


@pytest.fixture
def opened(shared_server: Server, database: str, site: Setting, tmp_path):
    """Opens the log for another laptop each time."""
    books = []

    def another(number: int = 0, **how: bool) -> Crew:
        folder = tmp_path / f"laptop-{number}"
        folder.mkdir(exist_ok=True)
        store = SharedStore.open(shared_server.address("site", database), folder / "log.sqlite", site.kit, **how)
        books.append(SiteBook(site, store))
        crew = Crew(books[-1])
        crew.sent = 1000 * number           # keys of its own
        return crew

    yield another
    for book in books:
        book.close()


@pytest.fixture
def owner(shared_server: Server, database: str, kit: Kit):
    """Call it with a statement: what the owner is answered in the kit's schema."""
    engine = engine_for(shared_server.address(database=database), schema_of(kit))

    def ask(statement: str):
        with engine.begin() as connection:
            answer = connection.execute(sa.text(statement))
            return answer.fetchall() if statement.startswith("SELECT") else answer

    yield ask
    engine.dispose()
