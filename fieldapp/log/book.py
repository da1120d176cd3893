"""The site book: one kit, one plan, one log, and the state they add up to. What web and cli talk to."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from types import TracebackType

from fieldapp.base.errors import Fault, StoreError
from fieldapp.base.said import Value
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.kit import Kit
from fieldapp.log import faults
from fieldapp.log.backup import rescued
from fieldapp.log.chain import Gap
from fieldapp.log.entry import Entry, Refusal, Request
from fieldapp.log.fold import apply_all, fold
from fieldapp.log.laptop import Known
from fieldapp.log.names import Names
from fieldapp.log.read_only import TAKES_NOTHING, ReadOnly
from fieldapp.log.rules import Fitness, Setting, decide, prepare
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.snapshot import Snapshot
from fieldapp.log.state import State
from fieldapp.log.store import Store
from fieldapp.log.turns import Turns
from fieldapp.plan.plan import Plan

CLOCK_SLACK = timedelta(seconds=5)
TURN_S = 1.5
"""How long an entry waits for those before it; a phone gives up after 4 s, and those that only read wait behind it."""


@dataclass(frozen=True, slots=True)
class Halt:
    """The last entry could not be written: why, and when."""

    fault: Fault
    at: datetime


class SiteBook:
    """An open log with its state in memory. Reading never touches the disk; writing goes one at a time."""

    def __init__(self, site: Setting, store: Store | ReadOnly | SharedStore) -> None:
        self.site = replace(site, laptop=store.laptop.known.id)
        self.way_followed: str | None = None
        """The way chosen on site that `site.plan` follows; None: the design's."""
        self.way_trouble: Value | None = None
        """Why `site.plan` is the design's although the log chose another way, as another laptop's log may."""
        self.folder: Path | None = None
        """Folder of the kit, where its plans are kept; None if it has none."""
        self.halt: Halt | None = None
        """Set while the log takes nothing; None again with the next entry that is written."""
        self.listeners: list[Callable[[], None]] = []
        """Called after every entry that was written, while others wait: they may take note, and nothing more."""
        self._store = store
        self._turns = Turns()
        self._arrived: list[Entry] = list(store.entries())
        self._forgotten = store.names.forgotten
        self._laptops = store.laptops()
        self._snapshot = Snapshot(store.path, site.kit, writes=not self.only_reads)
        self._state = replace(self._snapshot.folded(self._arrived), last_number=self.last_number)
        self._snapshot.keep(self._state, self._arrived)

    @classmethod
    def open(cls, kit: Kit, plan: Plan, path: Path | str, *, checklist: Checklist | None = None,
             go_on: bool = False) -> "SiteBook":
        """Open or make the log at `path`; checks are admitted by `checklist`, if there is one.

        `go_on`: also where the folder remembers a log that is gone, or entries that are missing from it.

        Raises
        ------
        StoreError
            If another process has it open, it is locked, read-only, damaged, of a newer version or of another kit;
            if it is gone or not as it was written.
        """
        store = Store.open(Path(path), kit, go_on=go_on)
        try:
            return cls(Setting(kit, plan, checklist), store)
        except BaseException:
            store.close()
            raise

    @classmethod
    def for_reading(cls, kit: Kit, plan: Plan, why: StoreError, *, path: Path, checklist: Checklist | None = None,
                    now: datetime) -> "SiteBook":
        """The log at `path` where it cannot be written, since its disk takes nothing, which `why` says.

        Raises
        ------
        StoreError
            `why` itself if that is another trouble; or if it cannot be read either.
        """
        if why.fault not in TAKES_NOTHING:
            raise why
        book = cls(Setting(kit, plan, checklist), ReadOnly(path, kit, why))
        book.halt = Halt(why.fault, now)
        return book

    def judge_starts(self, unfit: Fitness | None) -> None:
        """From now on a raise starts from a kit of which `unfit` finds nothing, or by a name and a reason."""
        self.site = replace(self.site, unfit=unfit)

    @property
    def only_reads(self) -> bool:
        """True if nothing can be written down until the log is opened anew."""
        return isinstance(self._store, ReadOnly)

    @property
    def cannot_write(self) -> str:
        """Why, for the terminal; empty while it can."""
        return str(self._store.why).rstrip(".") if isinstance(self._store, ReadOnly) else ""

    @property
    def state(self) -> State:
        """The state now; a value of its own that later entries do not change."""
        return self._state

    @property
    def last_number(self) -> int:
        """Number of the newest entry in this laptop's log; 0 if there is none."""
        return self._arrived[-1].number or 0 if self._arrived else 0

    def submit(self, request: Request, now: datetime) -> Entry | Refusal:
        """Admit a request or refuse it. An entry that comes back is on disk.

        Parameters
        ----------
        request : Request
            A key seen before gives the first entry again, and nothing is written.
        now : datetime
            Server time with its zone; times in a refusal are said in this zone.

        Returns
        -------
        Entry or Refusal

        Raises
        ------
        StoreError
            If it could not be written; the state is as before, and the same request may be sent again.
        """
        prepare(self.site, self._state, request, now)
        with self._turns.turn(TURN_S) as ours:
            if not ours:
                raise faults.busy(self._store.path)
            outcome, is_new = self._stored(request, now)
            if is_new and isinstance(outcome, Entry):
                self._take(outcome)
            return outcome

    def _stored(self, request: Request, now: datetime) -> tuple[Entry | Refusal, bool]:
        """What the rules say, as kept for good, and whether it was kept just now; what others wrote comes first."""
        try:
            with self._store.turn(self.last_number) as newer:
                self._take(*newer)
                outcome = decide(self.site, self._state, request, now)
                is_new = isinstance(outcome, Entry) and outcome.number is None
                if isinstance(outcome, Entry) and is_new:
                    outcome = self._store.append(outcome)
        except StoreError as error:
            self.halt = Halt(error.fault, now)
            if error.fault in faults.LASTING:
                kept = rescued(self._arrived, self.site.kit, self._store.path, self._laptops.values(),
                               self.names.forgotten)
                raise StoreError(f"{error}. {kept}", error.fault) from error
            raise
        if is_new:
            self.halt = None
        return outcome, is_new

    def _take(self, *entries: Entry) -> None:
        """Entries that are on disk."""
        self._arrived.extend(entries)
        self._state = apply_all(self._state, entries)
        if entries:
            self._tell()

    def catch_up(self) -> int:
        """Take note of what other laptops wrote into a store that several share; returns how many entries."""
        with self._turns.turn():
            newer = self._store.entries(self.last_number)
            self._take(*newer)
            if self.names.forgotten != self._forgotten:
                self._read_anew()
                self._tell()
            return len(newer)

    def keep_photo(self, digest: str, content: bytes) -> bool:
        """Keep a photo for all laptops; False where the log is this laptop's own, and its folder keeps them.

        Raises
        ------
        StoreError
            If the server that keeps the log does not take it.
        """
        if isinstance(self._store, SharedStore):
            self._store.keep_photo(digest, content)
            return True
        return False

    def photo(self, digest: str) -> bytes | None:
        """A photo that another laptop may have taken; None if there is none, or each laptop keeps its own.

        Raises
        ------
        StoreError
            If the server that keeps the log does not answer.
        """
        return self._store.photo(digest) if isinstance(self._store, SharedStore) else None

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Entries with a number above `since`, in order of arrival on this laptop."""
        arrived = self._arrived
        first = len(arrived)
        while first > 0 and (arrived[first - 1].number or 0) > since:
            first -= 1
        return tuple(arrived[first:])

    @property
    def laptops(self) -> dict[str, Known]:
        """Laptops whose entries are taken as their own, by ID."""
        return self._laptops

    @property
    def laptop(self) -> str:
        """ID under which this laptop writes."""
        return self._store.laptop.known.id

    @property
    def names(self) -> Names:
        """Names that people typed, by their pseudonyms on the entries, and what was forgotten."""
        return self._store.names

    @property
    def kept_older(self) -> Path | None:
        """Copy of an older program's log that was moved to this version on opening; it holds names."""
        return self._store.kept_older

    def take_in(self, entries: Iterable[Entry], laptops: Iterable[Known] = (), accepted: Iterable[Gap] = (), *,
                names: Names | None = None) -> int:
        """Join another laptop's log; any order, any number of times. Returns how many entries were new.

        `accepted` are gaps in it that somebody chose to live with: opening the log will not stop at them. `names` come
        along; forgetting wins over them.
        """
        with self._turns.turn():
            forgotten = self.names.forgotten
            new = self._store.take_in(entries, laptops, accepted, names=names)
            self._laptops = self._store.laptops()
            self._read_anew()       # all of them: names came and went
            self._tell()
            if self.names.forgotten != forgotten:
                self._store.wipe()
        return len(new)

    def forget(self, what: Iterable[str]) -> None:
        """Forget the names of these pseudonyms, and note these photos as erased; StoreError as `Store.forget`."""
        with self._turns.turn():
            try:
                self._store.forget(what)
            finally:
                self._read_anew()

    def _read_anew(self) -> None:
        self._arrived = list(self._store.entries())
        self._forgotten = self.names.forgotten
        self._snapshot.drop()
        self._state = replace(fold(self.site.kit, self._arrived), last_number=self.last_number)

    def _tell(self) -> None:
        for listener in self.listeners:
            listener()

    def follow(self, plan: Plan, way: str | None, *, trouble: Value | None = None) -> None:
        """Go by another plan from now on: the one for the way that `state.way` names, or why it is not."""
        with self._turns.turn():
            self.site = replace(self.site, plan=plan)
            self.way_followed, self.way_trouble = way, trouble

    def clock_behind(self, now: datetime) -> timedelta | None:
        """By how much the clock is behind the newest entry, if it has been set back; else None."""
        newest = max((entry.at for entry in self._arrived[-50:]), default=now)
        return newest - now if newest - now > CLOCK_SLACK else None

    def close(self) -> None:
        """Let go of the file; harmless a second time."""
        self._snapshot.keep(self._state, self._arrived)
        self._store.close()

    def __enter__(self) -> "SiteBook":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None,
                 trace: TracebackType | None) -> None:
        self.close()
