"""Whole steps read part by part: what one press wrote down of several parts, as if each had been pressed alone."""

from collections.abc import Iterable
from dataclasses import replace

from fieldapp.log.entry import Entry
from fieldapp.log.state import State


def parts_of(entry: Entry) -> tuple[tuple[str, str], ...]:
    """(place, part) of all that a step's entry names; nothing for other kinds, or one that cannot be read."""
    places, parts = entry.data.get("places"), entry.data.get("parts")
    if entry.kind != "step_done" or not isinstance(places, list | tuple) or not isinstance(parts, list | tuple):
        return ()
    return tuple(zip(map(str, places), map(str, parts), strict=False))


def named_parts(entry: Entry) -> tuple[str, ...]:
    """IDs of all parts that the entry is about: one, those of a step, or none."""
    return (entry.part,) if entry.part is not None else tuple(part for _place, part in parts_of(entry))


def part_by_part(state: State, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries, a step's in the place of each of its parts that it moved; all of them keep its key.

    A part that another laptop had moved already, or that found no room, is left out.
    """
    found: list[Entry] = []
    for entry in entries:
        if entry.kind != "step_done":
            found.append(entry)
            continue
        found += [replace(entry, kind=str(entry.data.get("act", "fitted")), part=part, place=place, data={})
                  for place, part in parts_of(entry)
                  if part in state.parts and entry.key in state.parts[part].entries]
    return tuple(found)
