"""How many raises parts last: the share still whole after one, two, three … raises (Kaplan and Meier [1]_).

References
----------
.. [1] Kaplan and Meier, Nonparametric estimation from incomplete observations, Journal of the American
   Statistical Association 53, 1958 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.kit.kit import PartKind
from fieldapp.log.state import State
from fieldapp.reports.parts.history import breaks, counting, raise_of
from fieldapp.reports.readiness.making import ClassKey, class_keys


@dataclass(frozen=True, slots=True)
class Survival:
    """One class of parts."""

    kind: PartKind
    part_class: str
    parts: int
    """Parts that were in at least one raise."""
    broke: int
    """Of these, how many were put out of use in one."""
    whole: tuple[tuple[int, float], ...]
    """(raises, share still whole after so many), wherever the share falls."""


def survival(state: State) -> tuple[Survival, ...]:
    """Every class that was in a raise, hubs first.

    A part's life is counted in raises in which it was fitted, up to the first that put it out of use
    (damage that is more than slight); parts that never broke are counted as long as they lasted so far.
    """
    lives = part_lives(state)
    found = []
    for key in class_keys(state.kit):
        own = lives.get(key, [])
        if own:
            lasted, broke = [life for life, _ in own], [ended for _, ended in own]
            found.append(Survival(*key, len(own), sum(broke), share_whole(lasted, broke)))
    return tuple(found)


def share_whole(lasted: Sequence[float], broke: Sequence[bool]) -> tuple[tuple[int, float], ...]:
    """The Kaplan–Meier estimate.

    Source: (R4): Kaplan and Meier, Journal of the American Statistical Association 53, 1958 (from memory).
    Test: tests/reference/test_kaplan_meier.py

    Parameters
    ----------
    lasted : sequence of float
        How long each part lasted, whole numbers.
    broke : sequence of bool
        False if it had not broken by then.

    Returns
    -------
    tuple of (int, float)
        Time and share still whole after it, at each time when something broke.

    Examples
    --------
    >>> share_whole([1, 2, 2, 3], [True, True, False, False])
    ((1, 0.75), (2, 0.5))
    """
    from scipy.stats import CensoredData, ecdf  # half a second to load, and only this report needs it

    ended = [life for life, over in zip(lasted, broke, strict=True) if over]
    going = [life for life, over in zip(lasted, broke, strict=True) if not over]
    if not ended:
        return ()
    whole = ecdf(CensoredData(uncensored=ended, right=going)).sf
    return tuple((int(time), float(share)) for time, share in zip(whole.quantiles, whole.probabilities, strict=True)
                 if time in ended)


def part_lives(state: State) -> dict[ClassKey, list[tuple[int, bool]]]:
    """(raises lasted, whether it then broke) of each part that was in a raise, by class."""
    bad = {broken.entry.key for broken in breaks(state) if broken.severity != "slight" and broken.raise_name}
    raises: dict[str, set[str]] = {}
    over: dict[str, int] = {}
    for entry in counting(state):
        during = raise_of(state, entry)
        if entry.part is None or during is None or entry.part in over:
            continue
        if entry.kind == "fitted":
            raises.setdefault(entry.part, set()).add(during.key)
        if entry.key in bad and entry.part in raises:
            over[entry.part] = len(raises[entry.part])
    found: dict[ClassKey, list[tuple[int, bool]]] = {}
    for part_id, own in raises.items():
        part = state.part(part_id)
        found.setdefault((part.kind, part.part_class), []).append((over.get(part_id, len(own)), part_id in over))
    return found
