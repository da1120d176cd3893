"""Writing an adopted kit: folder, log and list at once or not at all."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from fieldapp.adopt.adoption import Adopted, Adoption
from fieldapp.adopt.table import TABLE, adopted_table
from fieldapp.base.errors import KitError, StoreError
from fieldapp.base.said import in_words
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.checklist_file import CHECKS_FILE, read_checks
from fieldapp.kit.file import Made, has_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import LOG_NAME, Refusal, Request
from fieldapp.plan.order import erection_plan
from fieldapp.prints.folder import put_in_folder

WHO = "adopt"
"""Who wrote the entries (in no formula)."""


def write_adopted(folder: Path, found: Adoption, now: datetime, report: Callable[[str], None]) -> tuple[str, ...]:
    """Write kit, paper, log and list of an adoption; answers with the lines of the summary.

    Raises
    ------
    KitError
        If the folder holds a kit or a log already; nothing is written then.
    RaisebookError
        As `raisebook make`; the folder is as it was.
    """
    for name in (LOG_NAME, "log-end.json"):
        if (folder / name).exists() or has_kit(folder):
            raise KitError(f"{folder} holds a kit or a log already; a kit is adopted once, since its labels never "
                           f"change. Name another folder. What turned up since is written down on site.")
    report("frame and kit")
    made = Made(found.kit, was_labelled=False, added=(), answers=())

    def log_and_list(ready: Path, kit: Kit) -> None:
        report(f"log of {len(found.adopted)} adopted parts")
        _write_log(ready, kit, found, now)
        write_atomic(ready / TABLE, adopted_table(found).encode())

    return put_in_folder(folder, made, report, log_and_list)


def _write_log(ready: Path, kit: Kit, found: Adoption, now: datetime) -> None:
    path = ready / CHECKS_FILE
    checklist = read_checks(ready) if path.exists() else default_checks(kit.design)
    item = checklist.item_of("strut", "length") or "length"
    with SiteBook.open(kit, erection_plan(kit), ready / LOG_NAME, checklist=checklist) as book:
        writer = LogWriter(book, now)
        for one in found.adopted:
            for kind, data in _entries(one, item):
                writer.write(kind, one.part, data)
        for part in found.to_make:
            writer.write("missing", part.id, {"words": "to be made: there was no piece for it"})


def _entries(one: Adopted, item: str) -> Iterator[tuple[str, dict[str, object]]]:
    """What is written down of an adopted part."""
    for code in one.carried.codes:
        yield "code_kept", {"code": code, "again": code, "others": True}
    if one.piece.length_mm is not None:
        yield "measured", {"item": item, "value": one.piece.length_mm, "unit": "mm",
                           "plus_minus": getattr(one.piece.row, "plus_minus_mm", 0.0)}


@dataclass(slots=True)
class LogWriter:
    """Writes entries through the rules of the book."""

    book: SiteBook
    now: datetime
    count: int = field(default=0)

    def write(self, kind: str, part: str, data: dict[str, object]) -> None:
        """One entry; StoreError if the rules refuse it."""
        self.count += 1
        request = Request(f"adopt-{self.count:05d}", kind, part, None, WHO, data=data, chief=True)
        answer = self.book.submit(request, self.now)
        if isinstance(answer, Refusal):
            raise StoreError(f"{part} cannot be adopted: {in_words(answer.why)} {in_words(answer.then)}")
