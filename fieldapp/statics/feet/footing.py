"""What the feet of a stage stand on and what holds each of them: the input of everything in this room."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.frame.frame import FloatArray

GROUND_STIFFNESSES_N_MM = (1000.0, 100.0)
"""Springs of the ground under a foot, each way; both are computed and the worse answer taken [N/mm].
Source: our choice: 70 N sink 0.07 mm into firm ground and 0.7 mm into soft. Test: tests/statics/feet/test_footing.py"""

PEG_STIFFNESS_N_MM = 100.0
"""What a peg gives against pull and sideways, where nothing better is known [N/mm].
Source: our choice, as soft as soft ground. Test: tests/statics/feet/test_footing.py"""


@dataclass(frozen=True, slots=True, eq=False)
class Footing:
    """F feet, the ground below each, and what holds each.

    A foot that presses with N bears sideways at most min(friction × (N + ballast), most_sideways_n) by the
    ground, and `peg_side_n` more by its peg; it leaves the ground at N < −ballast, and its peg pulls it down
    with at most `peg_up_n`.
    """

    feet: tuple[str, ...]
    """Hub places."""
    friction: FloatArray
    """(F,) coefficient of friction [1]; 0 where nothing is known."""
    most_sideways_n: FloatArray
    """(F,) more than this the ground never bears sideways [N]: cohesion × contact area on clay, infinite elsewhere."""
    peg_up_n: FloatArray
    """(F,) pull that the peg is taken to bear [N]; 0: none."""
    peg_side_n: FloatArray
    """(F,) sideways force that the peg is taken to bear [N]; 0: none."""
    ballast_n: FloatArray
    """(F,) weight that lies on the foot and slides with it [N]; 0: none."""
    stiffnesses_n_mm: tuple[float, ...] = GROUND_STIFFNESSES_N_MM
    """Springs of the ground; the worst answer of all counts."""
    peg_stiffness_n_mm: float = PEG_STIFFNESS_N_MM
    """Of every peg, against pull and sideways."""

    @property
    def loose(self) -> "Footing":
        """The same feet with no peg and no ballast."""
        none = np.zeros(len(self.feet))
        return replace(self, peg_up_n=none, peg_side_n=none, ballast_n=none)

    @property
    def is_pegged(self) -> bool:
        """True if any foot has a peg."""
        return bool(max(self.peg_up_n.max(initial=0.0), self.peg_side_n.max(initial=0.0)) > 0)

    @property
    def is_held(self) -> bool:
        """True if any foot has a peg or ballast."""
        return self.is_pegged or bool(self.ballast_n.max(initial=0.0) > 0)

    @property
    def peg_before_anything(self) -> tuple[str, ...]:
        """Feet that neither friction nor a peg holds sideways."""
        free = ((self.friction == 0) | (self.most_sideways_n == 0)) & (self.peg_side_n == 0)
        return tuple(foot for foot, bare in zip(self.feet, free, strict=True) if bare)

    def only(self, feet: Iterable[str]) -> "Footing":
        """The footing of some of its feet, in their order."""
        at = [self.feet.index(foot) for foot in feet]
        return replace(self, feet=tuple(self.feet[i] for i in at), friction=self.friction[at],
                       most_sideways_n=self.most_sideways_n[at], peg_up_n=self.peg_up_n[at],
                       peg_side_n=self.peg_side_n[at], ballast_n=self.ballast_n[at])


ByFoot = float | Mapping[str, float]
"""One value for all feet, or one for some of them by place; the others have none."""


def footing(feet: Iterable[str], *, friction: ByFoot, most_sideways_n: ByFoot = np.inf, peg_up_n: ByFoot = 0.0,
            peg_side_n: ByFoot = 0.0, ballast_n: ByFoot = 0.0) -> Footing:
    """The footing of these hub places.

    Parameters
    ----------
    feet : iterable of str
        Hub places on the ground.
    friction, most_sideways_n, peg_up_n, peg_side_n, ballast_n : float or mapping
        One value for all, or place → value; see `Footing`. A foot that a mapping does not name has 0.

    Raises
    ------
    StaticsError
        For a value that is negative or no number, or a mapping that names no foot of these.

    Examples
    --------
    >>> footing(["H01", "H02"], friction=0.4, peg_up_n={"H02": 60.0}).peg_up_n
    array([ 0., 60.])
    """
    names = tuple(feet)
    return Footing(
        names,
        friction=_by_foot(names, "friction", friction),
        most_sideways_n=_by_foot(names, "most_sideways_n", most_sideways_n),
        peg_up_n=_by_foot(names, "peg_up_n", peg_up_n),
        peg_side_n=_by_foot(names, "peg_side_n", peg_side_n),
        ballast_n=_by_foot(names, "ballast_n", ballast_n),
    )


def _by_foot(feet: tuple[str, ...], what: str, value: ByFoot) -> FloatArray:
    """(F,) a value for each foot."""
    named = dict.fromkeys(feet, value) if isinstance(value, int | float) else value
    unknown = sorted(set(named) - set(feet))
    if unknown:
        raise StaticsError(f"{what} is given for {unknown[0]}, which is no foot of this stage; its feet are "
                           f"{', '.join(feet) or 'none'}")
    bad = [(foot, number) for foot, number in named.items() if not number >= 0]
    if bad:
        raise StaticsError(f"{what} of foot {bad[0][0]} must be 0 or more, got {bad[0][1]:g}")
    return np.array([float(named.get(foot, 0.0)) for foot in feet])
