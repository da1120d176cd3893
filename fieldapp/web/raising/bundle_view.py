"""Parts in heaps, one for each class, as they lie before they are bundled."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fieldapp.log.state import State
from fieldapp.web.common.i18n import _

HOW = ("dry", "wet", "dirty", "damaged")


@dataclass(frozen=True, slots=True)
class Heap:
    """Parts of one class."""

    words: str
    parts: tuple[str, ...]


def heaps(state: State, parts: Iterable[str]) -> tuple[Heap, ...]:
    """By class: struts first, as they are bundled, then hubs."""
    found: dict[tuple[str, str], list[str]] = {}
    for part_id in sorted(set(parts)):
        part = state.part(part_id)
        found.setdefault((part.kind, part.part_class), []).append(part_id)
    order = sorted(found, key=lambda key: (key[0] != "strut", key[1]))
    return tuple(Heap(_words(*key), tuple(found[key])) for key in order)


def _words(kind: str, part_class: str) -> str:
    words = _("Struts of class {name}") if kind == "strut" else _("Hubs of class {name}")
    return words.format(name=part_class)


def came_in(ticked: Sequence[str]) -> list[str]:
    """How a part came in: what was ticked; dry if nothing was said of wet."""
    found = [how for how in HOW if how in ticked]
    return found if "wet" in found or "dry" in found else ["dry", *found]


def last_bundle(state: State, sender: str) -> str:
    """The bundle that this phone filled last, which is likely to take the next part too."""
    for entry in reversed(state.entries[-200:]):
        if entry.kind == "stored" and entry.sender == sender and entry.key not in state.withdrawn:
            return str(entry.data.get("bundle", ""))
    return ""
