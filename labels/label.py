"""What one label says, as plain words and millimetres. Knows no frame and no kit."""

from dataclasses import dataclass
from typing import Literal

Form = Literal["plain", "wrap", "round", "hexagon", "tag", "list"]
"""How a label is laid out: a rectangle, a strip round a tube, a hub's face, a tag with a hole, a list of contents."""


@dataclass(frozen=True, slots=True)
class Tag:
    """A small text label that is cut from a larger one: what sits on one arm of a hub."""

    headline: str
    """Read first, e.g. the number of the arm."""
    words: str
    small: str = ""
    """So that a tag that went astray finds home, e.g. the hub's ID."""


@dataclass(frozen=True, slots=True)
class Spoke:
    """One arm of a hub at its true direction on the hub's face label."""

    azimuth_deg: float
    """Clockwise from straight up, as seen from outside [deg]."""
    headline: str
    """The number of the arm."""
    words: str
    """What goes there, e.g. the strut."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label of a sheet. Empty fields are left out of the layout."""

    headline: str
    """The ID, printed huge."""
    lines: tuple[str, ...] = ()
    """Further words, most important first."""
    bands: int = 0
    """Class bands, 0 for none."""
    band_letter: str = ""
    """Words before the bands, e.g. "class C"."""
    arrow: str = ""
    """Words inside the arrow, e.g. "this end: H22 arm 4" or "up the frame"; empty for no arrow."""
    arrow_short: str = ""
    """What an arrow that points up says where its words find no room, e.g. "up"."""
    arrow_up: bool = True
    """True: points up; False: points left, toward the end of the tube."""
    symbol_text: str = ""
    """Content of the QR symbol; empty for none."""
    footnote: str = ""
    """Printed small, e.g. the site address."""
    tags: tuple[Tag, ...] = ()
    """If any: the label is a strip of tags to cut apart, and nothing else is drawn on it."""
    form: Form = "plain"
    tube_mm: float = 0.0
    """Outer diameter of the tube that it is stuck on, 0 for a flat place [mm]."""
    spokes: tuple[Spoke, ...] = ()
    """Of a hub's face, round or hexagonal: its arms."""
    contents: tuple[str, ...] = ()
    """Of a list: what is inside, each with a box to tick."""
    glue_words: str = ""
    """Of a strip: said on the edge that is stuck on first."""
    cut_words: str = ""
    """Of a strip: said on the corner that is cut off."""
    name: str = ""
    """What to call this label in a warning; the headline if empty."""

    @property
    def title(self) -> str:
        """Name for warnings and outlines."""
        return self.name or self.headline
