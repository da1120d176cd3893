"""What is said of struts that go in between two hubs that stand already: in which order, and how far to spread those.

Page, booklet and caution say it in the same words: never more than the hubs bear.
"""

import math
from collections.abc import Iterator, Sequence

from fieldapp.base.said import Said, row, say, say_n
from fieldapp.plan.plan import Insertion, Step


def closing_words(step: Step, strut: str | None = None) -> Iterator[Said]:
    """A sentence for each closing strut of a step, in the order in which they go in; or for `strut` alone.

    Examples
    --------
    >>> from fieldapp.base.said import in_words
    >>> from fieldapp.statics.governs import Limit
    >>> struts = (Insertion("S1", "H1", 1, 1), Insertion("S2", "H1", 1, 2, closes=True, spreading_mm=47.2),
    ...           Insertion("S3", "H1", 1, 3, closes=True, spreading_mm=47.2,
    ...                     spread_limit=Limit("spread", 38.9)))
    >>> for said in closing_words(Step(1, "H2", 0, struts, ())):
    ...     print(in_words(said))
    S2 goes in last but 1: spread its hubs by 48 mm.
    S3 goes in last: its hubs may be spread by 38 mm only, not by 48 mm: leave the hub loose on its other struts until \
this one is on.
    """
    closing = [item for item in step.struts if item.closes]
    for place, item in enumerate(closing, start=1):
        if strut in (None, item.strut):
            yield _words(item, len(closing) - place)


def closing_briefly(step: Step, struts: Sequence[str]) -> Iterator[Said]:
    """What a first screen says of these struts of a step: which hub stays loose, else how far to spread.

    Examples
    --------
    >>> from fieldapp.base.said import in_words
    >>> from fieldapp.statics.governs import Limit
    >>> struts = (Insertion("S2", "H1", 1, 2, closes=True, spreading_mm=47.2),
    ...           Insertion("S3", "H1", 1, 3, closes=True, spreading_mm=47.2,
    ...                     spread_limit=Limit("spread", 38.9)))
    >>> for said in closing_briefly(Step(1, "H2", 0, struts, ()), ("S2", "S3")):
    ...     print(in_words(said))
    H2 loose until S3 is on.
    Last, spread the hubs for S2 by 48 mm.
    """
    closing = [item for item in step.struts if item.closes and item.strut in struts]
    too_far = [item.strut for item in closing if is_too_far(item)]
    plain = [item for item in closing if not is_too_far(item)]
    if too_far:
        yield say_n("{hub} loose until {struts} is on.", "{hub} loose until {struts} are on.", len(too_far),
                    hub=step.hub, struts=row(too_far))
    if any(item.spreading_mm > 0.0 for item in plain):
        yield say("Last, spread the hubs for {struts}.", struts=row(
            [say("{strut} by {n} mm", strut=item.strut, n=math.ceil(item.spreading_mm)) for item in plain]))
    elif plain:
        yield say("Last, ease the hubs apart for {struts}.", struts=row([item.strut for item in plain]))


def is_too_far(item: Insertion) -> bool:
    """True if the hubs of a strut that closes do not bear to be spread as far as it asks."""
    return item.spread_limit_mm is not None and item.spreading_mm > item.spread_limit_mm


def _words(item: Insertion, after: int) -> Said:
    """How it is let in; `after` other closing struts come after it."""
    needed_mm, limit_mm = math.ceil(item.spreading_mm), item.spread_limit_mm
    which = say("{strut} goes in last but {n}", strut=item.strut, n=after) if after else \
        say("{strut} goes in last", strut=item.strut)
    if needed_mm <= 0:
        return say("{which}: ease its hubs apart, do not force it.", which=which)
    if limit_mm is None or math.isinf(limit_mm):
        return say("{which}: spread its hubs by {mm} mm.", which=which, mm=needed_mm)
    limit = math.floor(limit_mm)
    if limit >= needed_mm:
        return say("{which}: spread its hubs by {mm} mm; they bear {limit} mm.", which=which, mm=needed_mm, limit=limit)
    if limit < 1:
        return say("{which}: its hubs may not be spread: leave the hub loose on its other struts until this one is "
                   "on.", which=which)
    return say("{which}: its hubs may be spread by {limit} mm only, not by {mm} mm: leave the hub loose on its other "
               "struts until this one is on.", which=which, limit=limit, mm=needed_mm)
