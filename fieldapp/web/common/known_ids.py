"""The IDs that can exist, in few words: with them a phone out of reach of the laptop refuses the others."""

import json
from collections.abc import Iterable, Iterator

from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import LETTER_OF_KIND, first_site_number, number_width


def known_ids(kit: Kit, made: Iterable[Part], *, codes: bool) -> str:
    """As `static/known_ids.js` reads it: letters of the kit, and by kind of part the digits, the numbers in runs, and
    from which number on other laptops may have given some; `codes`: parts may also be called by marks or IDs
    from elsewhere.
    """
    own = f"{kit.design.frame.prefix}-"
    parts = tuple(part for part in (*kit.parts, *made) if part.id.startswith(own))
    kinds = {letter: {"width": number_width(kit.frame, kind), "site": first_site_number(kit.frame, kind),
                      "runs": list(_runs(part.number for part in parts if part.kind == kind))}
             for kind, letter in LETTER_OF_KIND.items()}
    return json.dumps({"prefix": kit.design.frame.prefix, "kinds": kinds, "codes": codes}, separators=(",", ":"))


def _runs(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Numbers as first and last of each run.

    Examples
    --------
    >>> list(_runs([3, 1, 2, 1001]))
    [(1, 3), (1001, 1001)]
    """
    first = last = None
    for number in sorted(numbers):
        if first is None or last is None or number != last + 1:
            if first is not None and last is not None:
                yield first, last
            first = number
        last = number
    if first is not None and last is not None:
        yield first, last
