"""What is wrong with a log on a database server: a word for the pages, and a message for whoever has the laptop."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import sqlalchemy as sa

from fieldapp.base.errors import Fault, StoreError
from fieldapp.log.entry import Entry
from fieldapp.log.lines import digest_of
from fieldapp.log.memory import Memory
from fieldapp.log.shared.connecting import said_by

_OF_STATE: Final[dict[str, Fault]] = {
    "53100": "full_there", "55P03": "busy", "57014": "busy", "42501": "readonly_there", "25006": "readonly_there"}
"""What a class of SQLSTATE means to people: disk full, lock not available, query cancelled, rights, read only.
Source: PostgreSQL 15 documentation, appendix A. Test: tests/log/test_shared.py"""
_WORDS: Final[dict[Fault, str]] = {
    "away": "the server {address} does not answer ({said}). Start it, or mend the network; phones keep what they send, "
            "and nothing was half-written",
    "full_there": "the disk of the server {address} is full ({said}). Make room there; phones keep what they send, and "
                  "nothing was half-written",
}
_ELSE = "the server {address} did not take it ({said}). Nothing was half-written; send again"


def server_error(address: str, error: Exception) -> StoreError:
    """What the server's driver said, in words. Without a state, and where a server stops, it was the connection."""
    state = getattr(getattr(error, "orig", None), "sqlstate", None) or ""
    fault = _OF_STATE.get(state, "" if state and not state.startswith(("08", "57", "58", "XX")) else "away")
    if isinstance(error, sa.exc.TimeoutError):      # all connections of this laptop are at work
        fault = "busy"
    if "No space left on device" in str(error):
        fault = "full_there"
    return StoreError(_WORDS.get(fault, _ELSE).format(address=address, said=said_by(error)), fault)


def bad_row(address: str, error: Exception) -> StoreError:
    """A row that cannot be read as an entry."""
    return StoreError(f"the log on {address} holds a row that is no entry: {error}. Put back the newest backup of the "
                      "database, or go on from another copy: raisebook log copy", "damaged")


def other_history(address: str, folder: Path, found: Sequence[Entry], memory: Memory, *,
                  moved: bool) -> StoreError | None:
    """What is wrong if the entries on a server, all or the newest, do not go on from the last that was known.

    `moved`: its number may be another by now, as after what was lost came back from a laptop's lines.
    """
    known = next((entry for entry in found if entry.number == memory.number), None)
    if memory.number == 0 or (known is not None and digest_of(known) == memory.last):
        return None
    if moved and any(digest_of(entry) == memory.last for entry in found):
        return None
    there = f"has another entry {memory.number} of this kit than the one that was answered" if known else \
        f"has fewer entries of this kit than the {memory.number} that were answered"
    return StoreError(
        f"the server {address} {there}: it was put back from an older copy, is another server than before, or does not "
        f"wait for its disk. Bring back what it lacks: raisebook log import {folder} FILE --store ADDRESS, with the "
        "lines kept beside the kit, or another laptop's; only if there are none, go on without them by --go-on, and "
        "inspect the parts concerned", "lost_there")
