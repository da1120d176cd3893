"""Tells the demo's past through the same rules that admit a phone's requests. All invented."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from fieldapp.base.errors import StoreError
from fieldapp.kit.checklist import Check
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal, Request

CHIEF = "chief"


class Teller:
    """A clock and a voice: every entry goes through the book's rules at the time told."""

    def __init__(self, book: SiteBook) -> None:
        self.book = book
        self.now = datetime(2026, 1, 1, tzinfo=UTC)
        self._count = 0

    def at(self, text: str) -> None:
        """Set the clock, e.g. `2026-09-12 08:30`, UTC."""
        self.now = datetime.fromisoformat(text).replace(tzinfo=UTC)

    def wait(self, seconds: float) -> None:
        """Let time pass [s]."""
        self.now += timedelta(seconds=seconds)

    def tell(self, kind: str, part: str | None = None, who: str = CHIEF, *, place: str | None = None,
             data: Mapping[str, object] | None = None) -> str:
        """Write one entry; its key. A story that the rules refuse is a fault of the program."""
        self._count += 1
        key = f"demo-{self._count:04d}"
        outcome = self.book.submit(Request(key, kind, part, place, who, data=data or {}, chief=True), self.now)
        if isinstance(outcome, Refusal):
            raise StoreError(f"the demo's story was refused at {kind} {part or ''}: {outcome.message}")
        return key

    def passed(self, part: str, who: str, *, values: Mapping[str, float], failed: Mapping[str, int] | None = None,
               words: str = "") -> None:
        """One check with the kit's list: `values` of measured lines, `failed` line → arm or end number."""
        checklist = self.book.site.checklist
        kind = self.book.site.kit.part(part).kind
        items = [_item(line, values, failed or {}, words) for line in (checklist.lines(kind) if checklist else ())
                 if line.when == "always" or line.item in values]
        self.tell("checked", part, who, data={"items": items, "seen": "scanned"})


def _item(line: Check, values: Mapping[str, float], failed: Mapping[str, int], words: str) -> dict[str, object]:
    item: dict[str, object] = {"item": line.item, "result": "fail" if line.item in failed else "pass"}
    if line.is_measured:
        item["value"] = values[line.item]
    if line.item in failed:
        item["words"] = words
        if line.each:
            item[line.each] = failed[line.item]
    return item
