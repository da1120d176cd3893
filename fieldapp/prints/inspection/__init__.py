"""What the paper of an inspection says, as plain words: the record that is signed, and the tags of the bundles."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class UsedLine:
    """One line of the list that was used."""

    item: str
    look: str
    limits: str
    """"at most 20 %"; empty for pass or fail."""
    weight: str
    """"must pass", "watch if it fails", "in doubt" …"""
    source: str


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One part of the round."""

    part: str
    """Its ID, and what it carries besides."""
    part_class: str
    box: str
    at: str
    by: str
    seen: str
    result: str
    """"passed", or the lines that failed and the numbers that were measured."""
    sound: bool


@dataclass(frozen=True, slots=True)
class DefectRow:
    """A part that is open when the record is printed."""

    part: str
    """Its ID, and what it carries besides."""
    part_class: str
    state: str
    box: str
    words: str


@dataclass(frozen=True, slots=True)
class InspectionSheets:
    """The record of one round."""

    round: str
    facts: tuple[tuple[str, str], ...]
    """(label, value): opened, closed, by whom, list."""
    counts: tuple[tuple[str, int], ...]
    """(word, how many): passed, watch, quarantined, not seen."""
    statement: str
    signatures: tuple[str, ...]
    defects: tuple[DefectRow, ...]
    lists: tuple[tuple[str, tuple[UsedLine, ...]], ...]
    """(title, lines): hubs, struts."""
    results: tuple[ResultRow, ...]
    not_seen: tuple[tuple[str, tuple[str, ...]], ...]
    """(box, IDs)."""


@dataclass(frozen=True, slots=True)
class InspectedBundle:
    """The tag of one bundle."""

    bundle: str
    words: tuple[str, ...]
    """Line by line: "inspected 2026-05-01", "all 12 parts passed"."""
    by: str
    complete: bool = True
    """False if some of its parts were not seen."""
