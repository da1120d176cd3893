"""How long a part stood in the frame: from each fitting to its coming out, or to the end of that raise."""

from collections.abc import Iterator
from datetime import datetime

from fieldapp.log.entry import Entry
from fieldapp.log.state import Raise, State
from fieldapp.log.steps import part_by_part
from fieldapp.reports.parts.history import raise_of

S_PER_H = 3600.0
"""Seconds an hour [s]. Source: exact. Test: tests/reports/inspection/test_again.py"""
OUT = frozenset({"taken_down", "stored"})
"""Kinds by which a part comes out of the frame."""


def hours_stood(state: State, part: str, until: datetime, *, since: Entry | None = None,
                besides: Raise | None = None) -> float:
    """Hours that a part stood up to a moment [h].

    Parameters
    ----------
    state : State
    part : str
        Printed ID.
    until : datetime
        What stands still is counted up to then.
    since : Entry, optional
        Only fittings after this entry count.
    besides : Raise, optional
        What was fitted in this raise does not count.
    """
    spans = (max(0.0, (min(end or until, until) - begun.at).total_seconds())
             for begun, end, during in _spans(state, part)
             if (since is None or begun.position > since.position) and (during is None or during != besides))
    return sum(spans) / S_PER_H


def _spans(state: State, part: str) -> Iterator[tuple[Entry, datetime | None, Raise | None]]:
    """(fitting, when it came out or None, raise)."""
    begun: Entry | None = None
    for entry in part_by_part(state, map(state.index.__getitem__, state.parts[part].entries)):
        if entry.part != part:
            continue
        if begun is not None and entry.kind in (*OUT, "fitted"):
            during = raise_of(state, begun)
            ended = during.ended if during is not None else None
            yield begun, min(entry.at, ended) if ended else entry.at, during
            begun = None
        if entry.kind == "fitted":
            begun = entry
    if begun is not None:
        during = raise_of(state, begun)
        yield begun, during.ended if during is not None else None, during
