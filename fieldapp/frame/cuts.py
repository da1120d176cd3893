"""Where a sphere may be cut so that a frame stands: the rows of hubs, named by the trade's fractions."""

from fractions import Fraction

import numpy as np

from fieldapp.base.errors import DesignError
from fieldapp.frame.shape import Shape

FULL = "full"
"""The name of the uncut sphere."""


def cuts(frequency: int) -> tuple[str, ...]:
    """Names of all cuts that a frequency offers, from the smallest cap to the full sphere.

    Source: (F3); common practice, no source. Test: tests/reference/test_kenner_1976.py

    Notes
    -----
    A vertex-up class I sphere has 3 f steps from row to row, crown to foot. A cut whose rim is row
    n is called n / 3f in lowest terms, which gives the names in use: 1/2 for even frequencies, 4/9
    and 5/9 for frequency 3, 5/8 for frequency 8 (common practice).

    Examples
    --------
    >>> cuts(1), cuts(2)
    (('1/3', '2/3', 'full'), ('1/6', '1/3', '1/2', '2/3', '5/6', 'full'))
    """
    return (*(str(Fraction(row, 3 * frequency)) for row in range(1, 3 * frequency)), FULL)


def rim_row(frequency: int, cut: str) -> int:
    """Row of the rim: 1 just below the crown, 3 × frequency for the full sphere.

    Parameters
    ----------
    frequency : int
        Of the sphere.
    cut : str
        A name of `cuts(frequency)`; an unreduced fraction is understood too.

    Raises
    ------
    DesignError
        If the frequency has no row there; the message lists the cuts it has.

    Examples
    --------
    >>> rim_row(3, "5/9"), rim_row(4, "1/2"), rim_row(6, "9/18")
    (5, 6, 9)
    """
    if cut.strip() == FULL:
        return 3 * frequency
    share = _fraction(cut)
    row = None if share is None else share * 3 * frequency
    if row is None or row.denominator != 1 or not 0 < row < 3 * frequency:
        raise DesignError(_refusal(frequency, cut, share))
    return int(row)


def _fraction(text: str) -> Fraction | None:
    """The fraction written as `5/9`, or None."""
    upper, slash, lower = text.partition("/")
    if not (slash and upper.strip().isdecimal() and lower.strip().isdecimal()) or int(lower) == 0:
        return None
    return Fraction(int(upper), int(lower))


def _refusal(frequency: int, cut: str, share: Fraction | None) -> str:
    """What to say of a cut that is not there."""
    names = cuts(frequency)
    hint = "choose one of them or another frequency"
    if share is not None and 0 < share < 1:
        nearest = min(names[:-1], key=lambda name: abs(Fraction(name) - share))
        hint = f"the nearest is {nearest}"
    return f"frame.cut is {cut!r}; frequency {frequency} can be cut at {', '.join(names)}; {hint}"


def cut_sphere(sphere: Shape, rim: int) -> Shape:
    """The part of a sphere from the crown down to a row, which then stands on the ground.

    Examples
    --------
    >>> from fieldapp.frame.dome import subdivided_sphere
    >>> cap = cut_sphere(subdivided_sphere(4, "equal chords"), 6)
    >>> len(cap.nodes), len(cap.struts), int(cap.ground.sum())
    (91, 250, 20)
    """
    kept = sphere.row <= rim
    index = np.cumsum(kept) - 1
    struts = index[sphere.struts[kept[sphere.struts].all(axis=1)]]
    faces = index[sphere.faces[kept[sphere.faces].all(axis=1)]]
    row = sphere.row[kept]
    return Shape(sphere.nodes[kept], struts, faces, row, row == rim)
