"""The kits of a yard: which ones there are, what they are called in addresses, and which one a label belongs to."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from flask import Flask, current_app, request

from fieldapp.kit import with_parts
from fieldapp.kit.ids import parse_part_id
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.codes import parts_with_code

EXTENSION = "raisebook yard"


@dataclass(frozen=True, slots=True, eq=False)
class YardKit:
    """One kit that is served."""

    name: str
    """In addresses: its letters; with a number where another kit has the same."""
    folder: Path
    book: SiteBook
    app: Flask

    @property
    def prefix(self) -> str:
        """The letters that its part IDs begin with."""
        return self.book.site.kit.design.frame.prefix

    @property
    def title(self) -> str:
        """What people call it."""
        return self.book.site.kit.design.frame.name

    def means(self, text: str) -> bool:
        """True if the text is the ID of one of its parts, or a code that one carries."""
        return parse_part_id(text, self._whole).found or bool(parts_with_code(self.book.state, text))


    def has_gone(self, text: str) -> bool:
        """True if the text is the ID of a part of it that is at another kit."""
        part = parse_part_id(text, self._whole).part
        return part is not None and self.book.state.parts[part.id].away is not None

    @property
    def _whole(self) -> Kit:
        state, kit = self.book.state, self.book.site.kit
        return with_parts(kit, tuple(state.made.values())) if state.made else kit


@dataclass(frozen=True, slots=True)
class ShutKit:
    """One that could not be opened, and why."""

    folder: Path
    why: str


@dataclass(frozen=True, slots=True)
class Yard:
    """All of them."""

    folder: Path
    """Where the yard keeps its own join code, sessions and pass phrase."""
    kits: tuple[YardKit, ...]
    shut: tuple[ShutKit, ...] = ()

    def named(self, name: str) -> YardKit | None:
        """The kit that is called so in addresses."""
        return next((kit for kit in self.kits if kit.name == name.upper()), None)

    def with_letters(self, prefix: str) -> tuple[YardKit, ...]:
        """Those whose IDs begin so: more than one where the yard was opened all the same."""
        return tuple(kit for kit in self.kits if kit.prefix == prefix)

    def neighbours(self, prefix: str, text: str) -> tuple[tuple[str, str], ...]:
        """Title of each of these, and the address where it looks up `text`; asked from the pages of a kit."""
        root, asked = request.script_root.rpartition("/")[0], urlencode({"q": text})
        return tuple((kit.title, f"{root}/{kit.name}/find?{asked}") for kit in self.with_letters(prefix))

    def meant_by(self, text: str) -> tuple[YardKit, ...]:
        """Those of which the text names a part; where a part is between kits, that one where it is now."""
        found = tuple(kit for kit in self.kits if kit.means(text))
        here = tuple(kit for kit in found if not kit.has_gone(text)) if len(found) > 1 else ()
        return here or found

    @property
    def last_number(self) -> int:
        """Grows with every entry of any kit."""
        return sum(kit.book.last_number for kit in self.kits)


def yard() -> Yard:
    """That of the application that answers this request."""
    found: Yard = current_app.extensions[EXTENSION]
    return found


def names_of(prefixes: Sequence[str]) -> tuple[str, ...]:
    """What kits with these letters are called in addresses.

    Examples
    --------
    >>> names_of(["OH", "MG", "OH"])
    ('OH', 'MG', 'OH-2')
    """
    seen: Counter[str] = Counter()
    names = []
    for prefix in prefixes:
        seen[prefix] += 1
        names.append(prefix if seen[prefix] == 1 else f"{prefix}-{seen[prefix]}")
    return tuple(names)
