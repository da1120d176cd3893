"""One small kit for the tests of the log: a whole frame of frequency 2 with spares."""

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from log.postgres import Server

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Refusal, Request
from fieldapp.log.rules import Setting
from fieldapp.log.shared.store import SharedStore
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

    def __init__(self, book: SiteBook) -> None:
        self.book = book
        self.now = MORNING
        self.sent = 0

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
