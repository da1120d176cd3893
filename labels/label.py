"""What one label says, as plain words and millimetres. Knows no frame and no kit."""

from dataclasses import dataclass, field

from labels.drawing import Drawing


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
    arrow: str = ""
    """Words beside the arrow, e.g. "this end" or "up the frame"; empty for no arrow."""
    arrow_up: bool = True
    """True: points up; False: points left, toward the end of the tube."""
    symbol_text: str = ""
    """Content of the QR symbol; empty for none."""
    picture: Drawing | None = field(default=None)
