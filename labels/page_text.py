"""Words on a page: sizes that can be read, lines broken at spaces, a column that is filled from top to bottom."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from labels.drawing import Anchor
from labels.fonts import CAP_HEIGHT, missing_characters, text_width_mm
from labels.page import Link, PageItem
from labels.pieces import Words, box
from labels.textblock import ARM_LENGTH_MM, CLEAR_CAP_MM, LEAST_CAP_MM

BODY_MM = LEAST_CAP_MM / CAP_HEIGHT
"""Type size of what must be legible at arm's length [mm]: 4.2."""

CLEAR_MM = CLEAR_CAP_MM / CAP_HEIGHT
"""Type size of what must be read at a glance at arm's length [mm]: 6.4."""

SMALL_MM = 3.2
"""Type size of what is only read with the page in the hand: running heads and feet, headings of columns [mm]."""

LEADING = 1.28
"""From line to line, in type sizes."""


def distance_size_mm(distance_mm: float, *, glance: bool = False) -> float:
    """Type size that can be read at a distance [mm].

    Source: (L5): NUREG-0700 rev. 3, 11.4.1.5. Test: tests/labels/test_pages.py

    Parameters
    ----------
    distance_mm : float
        [mm]
    glance : bool
        True: at a glance.

    Notes
    -----
    Capitals of distance × 0.004, at a glance × 0.006 (NUREG-0700 rev. 3, 11.4.1.5).

    Examples
    --------
    >>> round(distance_size_mm(1500.0), 2)
    9.09
    """
    return distance_mm / ARM_LENGTH_MM * (CLEAR_MM if glance else BODY_MM)


def wrapped(text: str, width_mm: float, size_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Lines of at most a width, broken at plain spaces; a word that is wider stands alone, as it is.

    Some languages set a space before a colon; no line begins with one for that.

    Examples
    --------
    >>> wrapped("Hold hub H23 until the ring is closed.", 40.0, 4.2)
    ('Hold hub H23 until the', 'ring is closed.')
    >>> wrapped("Tenez H23 : une personne.", 19.0, 4.2)
    ('Tenez', 'H23 : une', 'personne.')
    """
    lines: list[str] = []
    for word in filter(None, _BREAKS.split(text)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, size_mm, bold=bold) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def shortened(text: str, width_mm: float, size_mm: float) -> str:
    """As much of a text as stays within a width, with … for the rest; empty if not even that has room.

    Examples
    --------
    >>> shortened("R3, red", 40.0, 3.2), shortened("a very long old mark", 18.0, 3.2), shortened("R3", 0.0, 3.2)
    ('R3, red', 'a very long…', '')
    """
    if text_width_mm(text, size_mm) <= width_mm:
        return text
    fits = (f"{text[:end].rstrip(' ,')}…" for end in range(len(text) - 1, 0, -1))
    return next((words for words in fits if text_width_mm(words, size_mm) <= width_mm), "")


_BREAKS = re.compile(r"(?<!«) +(?![:;!?»])")


def fitting_size_mm(text: str, width_mm: float, largest_mm: float, *, bold: bool = False) -> float:
    """The largest type size up to a limit at which a text stays within a width [mm]."""
    width = text_width_mm(text, largest_mm, bold=bold)
    return largest_mm if width <= width_mm else largest_mm * width_mm / width


def printable(text: str, instead: str) -> tuple[str, str]:
    """The text, or other words and the characters that the font lacks.

    Examples
    --------
    >>> printable("Łąka", "kit ŁA")
    ('Łąka', '')
    >>> printable("日本亭", "kit NH")
    ('kit NH', '日本亭')
    """
    missing = missing_characters(text)
    return (instead, missing) if missing else (text, "")


@dataclass(slots=True)
class Column:
    """A column that is filled from top to bottom."""

    x_mm: float
    y_mm: float
    """Where the next line begins: its upper edge."""
    width_mm: float
    items: list[PageItem] = field(default_factory=list)

    def gap(self, height_mm: float) -> None:
        """Leave some room."""
        self.y_mm += height_mm

    def text(self, text: str, size_mm: float = BODY_MM, *, bold: bool = False, indent_mm: float = 0.0,
             anchor: Anchor = "start") -> None:
        """A paragraph in as many lines as it needs."""
        for line in wrapped(text, self.width_mm - indent_mm, size_mm, bold=bold):
            self.line(line, size_mm, bold=bold, indent_mm=indent_mm, anchor=anchor)

    def line(self, text: str, size_mm: float = BODY_MM, *, bold: bool = False, indent_mm: float = 0.0,
             anchor: Anchor = "start") -> None:
        """One line, unbroken."""
        shift = {"start": indent_mm, "middle": self.width_mm / 2, "end": self.width_mm}[anchor]
        self.items.append(Words(text, self.x_mm + shift, self.y_mm + baseline_mm(size_mm), size_mm, bold=bold,
                                anchor=anchor))
        self.y_mm += LEADING * size_mm

    def points(self, texts: Iterable[str], size_mm: float = BODY_MM, *, signs: Sequence[str] = ()) -> None:
        """Paragraphs, each with a dot or its own sign before it."""
        for number, text in enumerate(texts):
            sign = signs[number] if signs else "•"
            self.items.append(Words(sign, self.x_mm, self.y_mm + baseline_mm(size_mm), size_mm, bold=True))
            self.text(text, size_mm, indent_mm=1.3 * size_mm)
            self.y_mm += 0.25 * size_mm

    def bar(self, text: str, size_mm: float = CLEAR_MM) -> None:
        """A heading in white on a black bar."""
        height = 1.5 * size_mm
        self.items += heading_bar(text, (self.x_mm, self.y_mm, self.width_mm, height), size_mm)
        self.y_mm += height + 0.5 * size_mm

    def link_line(self, text: str, target: str, size_mm: float = BODY_MM, *, right: str = "") -> None:
        """A line that leads to a mark, its page number at the right."""
        top = self.y_mm
        self.line(text, size_mm)
        if right:
            edge = self.x_mm + self.width_mm
            self.items.append(Words(right, edge, top + baseline_mm(size_mm), size_mm, anchor="end"))
        self.items.append(Link(self.x_mm, top, self.width_mm, LEADING * size_mm, target, text))


def shifted(items: Iterable[PageItem], x_mm: float, y_mm: float) -> Iterator[PageItem]:
    """Words of a column moved to another place; other items have no one place and are not allowed here."""
    for item in items:
        if not isinstance(item, Words):
            raise TypeError(f"only words can be moved, got {type(item).__name__}")
        yield replace(item, x_mm=item.x_mm + x_mm, y_mm=item.y_mm + y_mm)


def baseline_mm(size_mm: float) -> float:
    """Baseline of a line below its upper edge, so that its capitals sit in the middle of the line [mm]."""
    return (LEADING + CAP_HEIGHT) / 2 * size_mm


def heading_bar(text: str, rect: tuple[float, float, float, float], size_mm: float) -> Iterator[PageItem]:
    """A black bar (x, y, width, height) with words in white, as large as they fit up to a size."""
    x, y, width, height = rect
    size = fitting_size_mm(text, width - size_mm, size_mm, bold=True)
    yield box(x, y, width, height)
    yield Words(text, x + size_mm / 2, y + (height + CAP_HEIGHT * size) / 2, size, bold=True, white=True)
