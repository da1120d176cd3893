"""What is believed of a symbol that was read only after much help: IDs with a right check character, known codes."""

import re
from dataclasses import dataclass

from fieldapp.base.check_character import check_character

_ID = re.compile(r"(?:.*/P/)?([A-Z]{2,3})-([HS][0-9]{2,})-([0-9A-Z])(?:\.[12])?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class KnownLabels:
    """What the asker knows of the labels on site."""

    codes: tuple[str, ...] = ()
    """Texts of other symbols in small letters, in full, such as the addresses of rings."""
    arcs_deg: tuple[float, ...] = (45.0, 60.0, 80.0, 100.0)
    """Angles that symbols span round the kit's struts, or those that are usual [deg]."""


def is_believed(text: str, known: KnownLabels) -> bool:
    """Any kit's part ID with a right check character, alone or at the end of an address, or a known code.

    Examples
    --------
    >>> [is_believed(text, KnownLabels()) for text in ("http://10.0.0.1/P/OH-S073-C.1", "OH-S073-D", "http://10.0.0.1")]
    [True, False, False]
    """
    if text.lower() in known.codes:
        return True
    found = _ID.fullmatch(text)
    if found is None or not found[0].isascii():
        return False
    prefix, number, check = (piece.upper() for piece in found.groups())
    return check_character(prefix + number) == check
