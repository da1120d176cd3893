"""Numbers of parts made on site: each laptop counts in blocks of its own, so that two that do not know of each other
give no ID twice."""

import hashlib
from collections.abc import Iterator
from itertools import count

from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import PartKind

BLOCK = 10
"""Numbers in a row. Of pairs of laptops that make up to ten parts of a kind each, one in 900 shares a block (in
9,000 for kinds of 800 places and more); joined, their logs then say which ID was given twice
(in no formula). Our choice."""


def first_site_number(frame: Frame, kind: PartKind) -> int:
    """Where these numbers begin: 1000, or the power of ten that leaves places a quarter as many spares."""
    places = len(frame.hubs if kind == "hub" else frame.struts)
    first = 1000
    while 4 * first <= 5 * places:
        first *= 10
    return first


def site_numbers(frame: Frame, kind: PartKind, laptop: str) -> Iterator[int]:
    """Numbers that a laptop gives, in order: ten, then the next ten that follow from its ID, and so on for ever.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> numbers = site_numbers(SimpleNamespace(hubs=(), struts=range(165)), "strut", "KQ2MZ7TA")
    >>> [next(numbers) for _ in range(11)]
    [7830, 7831, 7832, 7833, 7834, 7835, 7836, 7837, 7838, 7839, 2200]
    """
    first = first_site_number(frame, kind)
    for turn in count():
        digest = hashlib.sha256(f"{laptop} {turn}".encode()).digest()
        block = int.from_bytes(digest[:8]) % (9 * first // BLOCK)
        yield from range(first + block * BLOCK, first + (block + 1) * BLOCK)
