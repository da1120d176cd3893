"""The stick beside the laptop: every entry is there within a second, and nobody waits for it.

Three threads: one appends entries, one brings photos and whole copies, one never touches the stick and tells when it
changed how it stands. Entries are taken from the log itself, so that none is forgotten while a stick is away.
"""

import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

from fieldapp.base.errors import StoreError
from fieldapp.log.backup import entry_lines, export_lines, forgotten_in
from fieldapp.log.baggage import erase_photos
from fieldapp.log.book import SiteBook
from fieldapp.log.chain import ChainEnd, head_after
from fieldapp.log.copying import copy_log
from fieldapp.log.entry import LOG_NAME, Entry
from fieldapp.log.stick_files import (
    append,
    bring_up,
    carry_copy,
    carry_kit,
    carry_photos,
    files_on,
    put_end,
    refuse_unfit,
)
from fieldapp.log.stick_status import NotCopiedError, StickFault, StickStatus, stick_fault

GATHER_S = 0.1
"""Entries that come so close together are flushed at once. This and what follows: our choice."""
LOOK_S, BACK_S, AGAIN_S = 0.5, 2.0, 10.0
"""How often the stick is looked at while nothing is written, and while it is away; how soon it is tried again after any
other fault, when all of it is looked through."""
COPY_EVERY_S, COPY_AGAIN_S = 600.0, 60.0
SLOW_S, COPY_SLOW_S = 5.0, 120.0
"""After which a stick that has not answered is said to be slow."""
STOP_WITHIN_S = 10.0
"""For what is still to be written when the server stops."""


class Hand:
    """One sort of work at the stick: what it met last, and since when it has been waiting."""

    def __init__(self, work: Callable[[], None], clock: Callable[[], datetime], slow_s: float) -> None:
        self.fault: StickFault = ""
        self.why = ""
        self.since = clock()
        self._work, self._clock, self._slow_s = work, clock, slow_s
        self._busy: tuple[float, datetime] | None = None

    def do(self) -> bool:
        """Do it once; a stick that refuses is remembered, and False."""
        self._busy = monotonic(), self._clock()
        try:
            self._work()
            self._met("", "")
        except Exception as error:  # whatever it is, it is told; a thread that ended would leave the site without
            self._met(stick_fault(error), str(error))
        self._busy = None
        return not self.fault

    def found(self) -> tuple[StickFault, datetime, str]:
        """Fault, since when, why."""
        busy = self._busy
        if busy is not None and monotonic() - busy[0] > self._slow_s and not self.fault:
            return "slow", busy[1], "it does not answer"
        return self.fault, self.since, self.why

    def _met(self, fault: StickFault, why: str) -> None:
        if fault != self.fault:
            self.since = self._clock()
        self.fault, self.why = fault, why


class Stick:
    """A folder on another disk that follows the log. `start` it, and `close` it before the book."""

    def __init__(self, book: SiteBook, source: Path, folder: Path, clock: Callable[[], datetime]) -> None:
        """Of the kit in the folder `source`; StoreError or KitError if `folder` is no place for it."""
        self._book, self._source, self._clock = book, source, clock
        self._files = files_on(folder, book.site.kit)
        refuse_unfit(source, book.site.kit, self._files)
        self.same_disk = _on_one_disk(source, folder)
        """True if it would be lost with the laptop."""
        self._lines_end: int | None = None
        self._written = 0
        self._begins = 0
        self._head = ChainEnd("")
        self._named: set[str] = set()
        self._aside: Path | None = None
        self._copied: tuple[int, datetime] | None = None
        self._photos: set[str] = set()
        self._copy_due = 0.0
        self._asked, self._stopping = threading.Event(), threading.Event()
        self._writer, self._copier = Hand(self._write, clock, SLOW_S), Hand(self._copy, clock, COPY_SLOW_S)
        self._threads: list[threading.Thread] = []

    def start(self, told: Callable[[StickStatus], None]) -> None:
        """Follow the log from now on; `told` hears whenever the stick stands otherwise, from a thread of its own."""
        self._book.listeners.append(self._asked.set)
        for name, work in (("entries", self._keep_writing), ("copies", self._keep_copying),
                           ("watch", lambda: self._watch(told))):
            thread = threading.Thread(target=work, name=f"stick {name}", daemon=True)
            self._threads.append(thread)
            thread.start()

    def status(self) -> StickStatus:
        """How it stands now; asks nothing of the stick."""
        fault, since, why = self._writer.found()
        if not fault:
            fault, since, why = self._copier.found()
        return StickStatus(self._files.folder, fault, since, self._begins > 0, self._written,
                           self._book.last_number - self._written, self._copied[1] if self._copied else None, why,
                           self._aside)

    def close(self) -> StickStatus:
        """Write what is still to be written, with a last whole copy; a stick that hangs is left. Harmless twice."""
        self._stopping.set()
        self._asked.set()
        until = monotonic() + STOP_WITHIN_S
        for thread in self._threads:
            thread.join(max(0.0, until - monotonic()))
        if self._asked.set in self._book.listeners:
            self._book.listeners.remove(self._asked.set)
        return self.status()

    def _keep_writing(self) -> None:
        while True:
            last = self._stopping.is_set()      # asked first: what came before it is written below
            well = self._writer.do()
            if last:
                return
            if well:
                self._asked.wait(LOOK_S)
                self._asked.clear()
            self._stopping.wait(GATHER_S if well else BACK_S if self._writer.fault == "pulled" else AGAIN_S)

    def _write(self) -> None:
        """What the log holds and the stick does not; and whether the stick is still there."""
        ends, self._lines_end = self._lines_end, None       # until it is known again
        if ends is None or self._files.lines.stat().st_size != ends:
            self._lines_end = self._begin()
            return
        new = self._book.entries(self._written)
        if new:
            ends = append(self._files.lines, ends, "".join(entry_lines(new, self._named)).encode())
            self._note(new)
        self._lines_end = ends

    def _begin(self) -> int:
        """Bring a stick up to date that was just plugged in; returns where its lines end."""
        kit, folder = self._book.site.kit, self._files.folder
        if _on_one_disk(self._source, folder) and not self.same_disk:
            raise FileNotFoundError(f"{folder} is now a folder on the laptop's own disk")
        refuse_unfit(self._source, kit, self._files)
        carry_kit(self._source, self._files)
        entries, forgotten = self._book.entries(), self._book.names.forgotten
        erase_photos(folder, forgotten)
        wanted = "".join(export_lines(entries, kit, self._book.laptops.values(), forgotten)).encode()
        self._named = {who for entry in entries for who in entry.names}
        self._aside = bring_up(self._files, wanted) or self._aside
        self._head = ChainEnd(self._book.laptop)
        self._note(entries)
        self._photos, self._copy_due = {f"{what}.jpg" for what in forgotten}, 0.0       # erased ones are not brought
        self._begins += 1
        return len(wanted)

    def _note(self, new: tuple[Entry, ...]) -> None:
        """These are there now; the number of the last is how many there are."""
        self._written = new[-1].number or 0 if new else 0
        own = next((entry for entry in reversed(new) if entry.laptop == self._book.laptop), None)
        if own is not None:
            self._head = head_after(own)
        put_end(self._files, self._head, self._written)

    def _keep_copying(self) -> None:
        tried, again = 0, 0.0
        while not self._stopping.wait(LOOK_S):
            if self._may_copy() and (not self._copier.fault or tried != self._begins or monotonic() >= again):
                tried, again = self._begins, monotonic() + COPY_AGAIN_S
                self._copier.do()
        self._threads[0].join(STOP_WITHIN_S / 2)
        self._copy_due = 0.0
        if self._may_copy() and not self._threads[0].is_alive():
            self._copier.do()

    def _may_copy(self) -> bool:
        return self._begins > 0 and not self._writer.fault

    def _copy(self) -> None:
        """Photos as they come, and a whole copy when it is time."""
        carry_photos(self._source, self._files, self._photos)
        if monotonic() < self._copy_due:
            return
        carry_kit(self._source, self._files)
        number = self._book.last_number
        if self._copied is None or self._copied[0] != number or not any(map(Path.exists, self._files.copies)):
            self._copy_whole()
            self._copied = number, self._clock()
        self._copy_due = monotonic() + COPY_EVERY_S

    def _copy_whole(self) -> None:
        """By way of the laptop's own disk, and then in pieces: a stick is slow, and entries go first."""
        with TemporaryDirectory(prefix="raisebook-") as passing:
            ready = Path(passing) / LOG_NAME
            try:
                copy_log(self._source / LOG_NAME, ready)
            except StoreError as error:
                raise NotCopiedError(error.message) from error
            carry_copy(ready, self._files.next_copy)
            for copy in self._files.copies:
                if copy.exists() and not _forgot(copy, self._book.names.forgotten):
                    carry_copy(ready, copy)

    def _watch(self, told: Callable[[StickStatus], None]) -> None:
        said: tuple[bool, StickFault, Path | None] | None = None
        while not self._stopping.wait(LOOK_S):
            status = self.status()
            if (status.begun or status.fault) and (status.begun, status.fault, status.aside) != said:
                said = status.begun, status.fault, status.aside
                told(status)


def _forgot(copy: Path, forgotten: frozenset[str]) -> bool:
    """False if a whole copy may hold names that were forgotten since."""
    return not forgotten or forgotten_in(copy) >= forgotten


def _on_one_disk(source: Path, folder: Path) -> bool:
    return source.stat().st_dev == folder.stat().st_dev
