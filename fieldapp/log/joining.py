"""Joining another laptop's log: read at the door as phones are, looked at before anything is kept, then taken in."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from statistics import median

from pydantic import ValidationError

from fieldapp.base.check_character import check_character
from fieldapp.base.errors import StoreError
from fieldapp.base.said import in_words
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import compact, format_id, id_pieces, number_width
from fieldapp.kit.parts import class_names
from fieldapp.kit.standing_in import fits_class
from fieldapp.log.backup import Brought
from fieldapp.log.book import SiteBook
from fieldapp.log.chain import Gap, gaps
from fieldapp.log.entry import Entry, Request, is_pseudonym
from fieldapp.log.fold import fold
from fieldapp.log.kinds import KINDS, MadeData
from fieldapp.log.kinds_loans import BorrowedData
from fieldapp.log.laptop import Known
from fieldapp.log.names import persons
from fieldapp.log.state import Clash, State
from fieldapp.log.steps import named_parts

EARLIEST, SLACK = datetime(2000, 1, 1, tzinfo=UTC), timedelta(days=366)
"""Times of entries that are taken in: not before this program's age, and not more than a year ahead of this laptop's
clock. Our choice: a laptop whose clock is worse has it set before its log is joined."""
LARGEST_MASS_KG, LONGEST_MM, LAST_NUMBER = 1000.0, 100_000.0, 999_999
"""Of a part that was made on site; beyond these no part of a frame that people carry. Our choice."""
CLOCK_TELLS_MS = 60_000
"""A clock that is off by less is left as it is."""


@dataclass(frozen=True, slots=True)
class Review:
    """What joining would bring, before anything is kept."""

    new: tuple[Entry, ...]
    both: tuple[str, ...]
    """IDs of parts about which entries came in on both sides since the logs parted."""
    clashes: tuple[Clash, ...]
    """Entries, of either side, that would be without effect."""
    made: tuple[str, ...]
    """IDs of parts that were made on the other side."""
    twice: tuple[str, ...]
    """IDs that both sides gave to a part they made."""
    chief_acts: tuple[Entry, ...]
    """Acts of a chief among the new ones; those of a phone that was none are among them."""
    strangers: tuple[str, ...]
    """IDs of laptops that are not known here yet."""
    gaps: tuple[Gap, ...]
    """What is missing or not as it was written; nothing with gaps is joined."""
    ahead: Mapping[str, int]
    """Laptop → by how much its clock is ahead of this laptop's [ms]; below 0 behind, small ones left out."""


def check_entries(entries: Iterable[Entry], kit: Kit, now: datetime) -> None:
    """The same door for another laptop's entries as for a phone's.

    Raises
    ------
    StoreError
        Naming the first entry that no rule of any laptop of this kit would have let in.
    """
    for number, entry in enumerate(entries, start=1):
        trouble = _trouble(entry, kit, now)
        if trouble:
            raise StoreError(f"entry {number} of the exported log ({entry.key[:40]}) cannot be taken in: {trouble}. "
                             "Nothing was read in. Export the log again on the laptop that wrote it")


def _trouble(entry: Entry, kit: Kit, now: datetime) -> str:
    """Why the entry is none, in words; empty if it is one, or of a kind that only a newer program knows."""
    latest = now.astimezone(UTC) + SLACK
    if not EARLIEST <= entry.at <= latest:
        return f"its time {entry.at:%Y-%m-%d %H:%M} is not between {EARLIEST:%Y} and a year from now"
    if entry.order_ms > latest.timestamp() * 1000:
        return f"its place in time, {entry.order_ms} ms, is more than a year from now"
    if max(len(entry.key), len(entry.who), len(entry.sender)) > 200:
        return "its key, name or phone is longer than any that this program writes"
    kind = KINDS.get(entry.kind)
    if kind is None:
        return ""
    try:
        data = kind.data.model_validate(entry.data)
    except ValidationError as error:
        first = error.errors()[0]
        return f"{'.'.join(map(str, first['loc'])) or 'data'} is {str(first.get('input'))[:60]!r}: {first['msg']}"
    if entry.laptop and not all(map(is_pseudonym, persons(entry).values())):
        return "it holds the name of a person, which stands outside of an entry"
    if isinstance(data, BorrowedData):
        return _no_such_loan(entry, data, kit)
    return _no_such_part(entry, data, kit) if isinstance(data, MadeData) else ""


def _no_such_part(entry: Entry, data: MadeData, kit: Kit) -> str:
    """Why no rule gives such a part, for an entry that tells of one made on site."""
    if data.part_class not in class_names(kit.frame, data.kind):
        return f"there is no class {data.part_class!r} of {data.kind}s in this kit"
    own = format_id(kit.design.frame.prefix, data.kind, max(data.number, 1), width=number_width(kit.frame, data.kind))
    if not 1 <= data.number <= LAST_NUMBER or entry.part != own:
        return f"a {data.kind} of number {data.number} is not called {str(entry.part)[:40]!r}"
    if not 0.0 <= data.mass_kg <= LARGEST_MASS_KG or not 0.0 <= (data.cut_length_mm or 0.0) <= LONGEST_MM:
        return f"a mass of {data.mass_kg} kg or a length of {data.cut_length_mm} mm is of no part of a frame"
    if (data.kind == "strut") != (data.cut_length_mm is not None):
        return f"a {data.kind} comes with a length of {data.cut_length_mm}"
    return ""


def _no_such_loan(entry: Entry, data: BorrowedData, kit: Kit) -> str:
    """Why no rule takes such a part over from another kit."""
    own = kit.design.frame.prefix
    letters, _number, check = id_pieces(str(entry.part))
    if letters in ("", own) or letters != data.kit or check_character(compact(str(entry.part))[:-1]) != check:
        return f"{str(entry.part)[:40]!r} is not the ID of a part of kit {data.kit}"
    if data.part_class not in class_names(kit.frame, data.kind):
        return f"there is no class {data.part_class!r} of {data.kind}s in this kit"
    why = fits_class(kit, (data.kind, data.part_class), arms=data.arms, cut_length_mm=data.cut_length_mm)
    return "" if why is None else f"{entry.part} is not as {data.part_class} here: {in_words(why)}"


def review(state: State, brought: Brought, known: Mapping[str, Known]) -> Review:
    """What taking these entries in would do to the log that `state` was folded from.

    Parameters
    ----------
    known : mapping
        Laptops that are known here, by ID.
    """
    have = {(entry.key, entry.laptop, entry.serial) for entry in state.entries}
    new = tuple(entry for entry in brought.entries if (entry.key, entry.laptop, entry.serial) not in have)
    joined = fold(state.kit, (*state.entries, *new))
    before = {clash.key for clash in state.clashes}
    theirs = {entry.key for entry in brought.entries}
    ours_alone = {part for entry in state.entries if entry.key not in theirs for part in named_parts(entry)}
    vouched = {**brought.laptops, **known}
    return Review(
        new=new, both=tuple(sorted({part for entry in new for part in named_parts(entry) if part in ours_alone})),
        clashes=tuple(clash for clash in joined.clashes if clash.key not in before),
        made=tuple(sorted(joined.made.keys() - state.made.keys())), twice=_given_twice(state.entries, new),
        chief_acts=tuple(entry for entry in new if entry.kind in KINDS and KINDS[entry.kind].chief),
        strangers=tuple(sorted({entry.laptop for entry in new if entry.laptop} - known.keys())),
        gaps=gaps((*state.entries, *new), vouched), ahead=_clocks_ahead(state.entries, new))


def _given_twice(ours: Iterable[Entry], new: Iterable[Entry]) -> tuple[str, ...]:
    """IDs of parts that entries of both sides made."""
    here, there = ({entry.part for entry in side if entry.kind == "made" and entry.part} for side in (ours, new))
    return tuple(sorted(here & there))


def join(book: SiteBook, brought: Brought, found: Review, now: datetime) -> int:
    """Write down which clocks were ahead, then take in what was looked at, with its gaps if it has any.

    In this order, so that what this laptop writes keeps its own time, and a second try after a fault does no harm.

    Returns
    -------
    int
        How many entries were new.

    Raises
    ------
    StoreError
        If it could not be written; nothing of it is kept then.
    """
    for laptop, serial in last_serials(found.new).items():
        if laptop != book.laptop and found.ahead.get(laptop, 0) > 0:
            data = {"laptop": laptop, "serial": serial, "ahead_ms": found.ahead[laptop]}
            request = Request(f"joined {laptop} {serial} {book.laptop}", "joined", data=data, chief=True)
            book.submit(request, now)
    return book.take_in(found.new, brought.laptops.values(), found.gaps, names=brought.names)


def _clocks_ahead(ours: Iterable[Entry], new: Iterable[Entry]) -> dict[str, int]:
    """By how much each laptop's clock is ahead of ours, measured against the phones that wrote to both kinds."""
    own = _against_phones(ours)
    at_home = median(own.values()) if own else 0.0
    found = {laptop: round(ms - at_home) for laptop, ms in _against_phones(new).items()}
    return {laptop: ms for laptop, ms in found.items() if abs(ms) >= CLOCK_TELLS_MS}


def _against_phones(entries: Iterable[Entry]) -> dict[str, float]:
    """Laptop → how far its clock is ahead of its phones' [ms]: the smallest lead, since entries may wait in a phone."""
    leads: dict[str, list[float]] = {}
    for entry in entries:
        if entry.laptop and entry.sent_at is not None:
            leads.setdefault(entry.laptop, []).append((entry.at - entry.sent_at).total_seconds() * 1000)
    return {laptop: min(values) for laptop, values in leads.items()}


def last_serials(entries: Iterable[Entry]) -> dict[str, int]:
    """Laptop → its last serial among these entries."""
    last: Counter[str] = Counter()
    for entry in entries:
        if entry.laptop:
            last[entry.laptop] = max(last[entry.laptop], entry.serial)
    return dict(last)
