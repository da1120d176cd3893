"""Collapse: how far loads may grow until feet cannot hold the frame as a whole, whatever bends meanwhile.

A load is borne if there are foot forces within their cones that balance it on every movement that strains nothing
(G4). Largest such loads are cone programs; frame and ground need not be known, so what comes out is an upper bound
for anything that looks at strength.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.feet.footing import Footing
from fieldapp.statics.feet.reduced import Feet


@dataclass(frozen=True, slots=True, eq=False)
class Borne:
    """The farthest load in one direction of the space of loads."""

    loads: FloatArray
    """(m,) how much of each of the m loads."""
    settled: bool
    """False: the program did not settle."""
    stands: bool
    """False: not even the weight is borne."""


class CollapseProgram:
    """Feet that bear weight and m loads: asked for the farthest load in any direction."""

    def __init__(self, feet: Feet, weight_n: FloatArray, loads_n: FloatArray, most: float, *,
                 tips_only: bool = False) -> None:
        """Set up once.

        Source: (G4). Test: tests/reference/test_block_on_feet.py, tests/statics/feet/test_collapse.py

        Parameters
        ----------
        feet : Feet
            Reduced stage and footing.
        weight_n : (3F,) array
            Forces with which the weight presses on the pinned feet, with its factor, ballast included. [N]
        loads_n : (m, 3F) array
            The same for one unit of each load, with its factor.
        most : float
            None of the loads is looked at beyond this.
        tips_only : bool
            Every foot held sideways: what is left is tipping.
        """
        from scipy.sparse import csc_matrix  # here: scipy would slow the start of the server

        self._size, self._count = len(loads_n), feet.count
        self._scale = max(float(np.abs(weight_n).sum()), 1.0)
        reach = max(float(np.abs(loads_n).max(initial=0.0)), 1e-12) / self._scale
        self._most = min(most, _FARTHEST / reach)
        rows = _Rows(feet.on, self._scale, len(loads_n), tips_only=tips_only)
        balance = rows.forces(feet.rigid.T, feet.rigid.T @ loads_n.T * (self._most / self._scale))
        self._matrix = csc_matrix(np.concatenate((balance, rows.bounds, rows.cones)))
        right = -feet.rigid.T @ weight_n / self._scale
        self._right = np.concatenate((right, rows.bounds_right, rows.cones_right))
        self._cones = rows.kinds(len(right))
        self._columns = rows.columns
        self._nothing = csc_matrix((self._columns, self._columns))

    def farthest(self, direction: FloatArray) -> Borne:
        """The borne load that goes farthest along a direction, (m,), in the space of loads."""
        import clarabel  # type: ignore[import-untyped]  # here: only where feet may let go

        settings = clarabel.DefaultSettings()
        settings.verbose = False
        wanted = np.zeros(self._columns)
        wanted[:self._size] = -direction / max(float(np.abs(direction).max()), 1e-300)
        found = clarabel.DefaultSolver(self._nothing, wanted, self._matrix, self._right, self._cones, settings).solve()
        status = str(found.status)
        return Borne(np.array(found.x[:self._size]) * self._most, status in ("Solved", "PrimalInfeasible"),
                     status == "Solved")


def slides_apart(feet: Feet) -> bool:
    """True if the weight alone is not borne once friction is lost, by shape and what holds the feet; proven, not tried.

    Source: (G4). Test: tests/statics/feet/test_collapse.py
    """
    if not feet.rigid.shape[1]:
        return False
    bare = replace(feet, on=replace(feet.on, friction=np.zeros(feet.count)))
    nothing = np.zeros((1, 3 * feet.count))
    found = CollapseProgram(bare, feet.pressing_n(feet.of.weight)[0], nothing, 1.0).farthest(np.ones(1))
    return found.settled and not found.stands


_FARTHEST = 1e3
"""Loads beyond this many times the weight are not looked at [1].
Source: our choice. Test: tests/statics/feet/test_collapse.py"""


class _Rows:
    """Columns: loads, then foot forces x y z on the ground cone, then those of pegs. Rows: balance, bounds, cones."""

    def __init__(self, on: Footing, scale: float, loads: int, *, tips_only: bool) -> None:
        self._feet, self._loads = len(on.feet), loads
        self._pegged = np.flatnonzero((on.peg_up_n > 0) | (on.peg_side_n > 0))
        self.columns = loads + 3 * self._feet + 3 * len(self._pegged)
        ground = [loads + 3 * foot for foot in range(self._feet)]
        pegs = [loads + 3 * (self._feet + peg) for peg in range(len(self._pegged))]
        at_most = [(column, 1.0, 1.0) for column in range(loads)] + [(column, -1.0, 1.0) for column in range(loads)]
        presses = [column for column, rubs in zip(ground, on.friction > 0, strict=True) if tips_only or not rubs]
        at_most += [(column + 2, -1.0, 0.0) for column in presses]
        at_most += [(column + 2, 1.0, 0.0) for column in pegs]
        up = zip(pegs, on.peg_up_n[self._pegged] / scale, strict=True)
        at_most += [(column + 2, -1.0, float(most)) for column, most in up]
        self.bounds = np.zeros((len(at_most), self.columns))
        self.bounds_right = np.array([right for _column, _sign, right in at_most])
        for row, (column, sign, _right) in enumerate(at_most):
            self.bounds[row, column] = sign
        cones = [(column, float(friction), 0.0) for column, friction in zip(ground, on.friction, strict=True)]
        capped = [*zip(ground, on.most_sideways_n / scale, strict=True),
                  *zip(pegs, on.peg_side_n[self._pegged] / scale, strict=True)]
        cones += [(column, 0.0, float(most)) for column, most in capped if np.isfinite(most)]
        self.cones, self.cones_right = _cones([] if tips_only else cones, self.columns)

    def forces(self, rigid: FloatArray, loads: FloatArray) -> FloatArray:
        """(r, columns) what loads, ground and pegs do on each movement that strains nothing."""
        # (movement, foot, axis)
        three = rigid.reshape(len(rigid), self._feet, 3)
        pegs = three[:, self._pegged].reshape(len(rigid), 3 * len(self._pegged))
        return np.concatenate((loads, rigid, pegs), axis=1)

    def kinds(self, balance: int) -> list[Any]:
        """The cones of all rows, in order."""
        import clarabel

        rub = [clarabel.SecondOrderConeT(3)] * (len(self.cones) // 3)
        return [clarabel.ZeroConeT(balance), clarabel.NonnegativeConeT(len(self.bounds)), *rub]


def _cones(cones: list[tuple[int, float, float]], columns: int) -> tuple[FloatArray, FloatArray]:
    """Rows of |sideways| ≤ friction × press + most, for the force that begins at a column."""
    rows, right = np.zeros((3 * len(cones), columns)), np.zeros(3 * len(cones))
    for number, (column, friction, most) in enumerate(cones):
        rows[3 * number, column + 2] = -friction
        right[3 * number] = most
        rows[3 * number + 1, column] = rows[3 * number + 2, column + 1] = -1.0
    return rows, right
