"""Collapse: how far loads may grow until feet cannot hold the frame as a whole, whatever bends meanwhile.

A load is borne if there are foot forces within their cones that balance it on every movement that strains nothing
(G4). Largest such loads are cone programs; frame and ground need not be known, so what comes out is an upper bound
for anything that looks at strength.
"""

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
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
    forces: FloatArray
    """(3F + 3P,) forces of ground and pegs that bear them ÷ the program's scale."""


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
        self.scale_n = max(float(np.abs(weight_n).sum()), 1.0)  # forces in it are ÷ this
        self._rows = _Rows(feet.on, self.scale_n, len(loads_n), tips_only=tips_only)
        self._rigid, self._asked = feet.rigid.T, most
        right = -feet.rigid.T @ weight_n / self.scale_n
        self._right = np.concatenate((right, self._rows.bounds_right, self._rows.cones_right))
        self._cones = self._rows.kinds(len(right))
        self.load(loads_n)

    def load(self, loads_n: FloatArray) -> "CollapseProgram":
        """The same feet under the same weight, asked for other loads, as many; far cheaper than set up anew."""
        self._size = len(loads_n)
        reach = max(float(np.abs(loads_n).max(initial=0.0)), 1e-12) / self.scale_n
        self._most = min(self._asked, _FARTHEST / reach)
        balance = self._rows.forces(self._rigid, self._rigid @ loads_n.T * (self._most / self.scale_n))
        self._matrix = _columns_of(np.concatenate((balance, self._rows.bounds, self._rows.cones)))
        return self

    def farthest(self, direction: FloatArray) -> Borne:
        """The borne load that goes farthest along a direction, (m,), in the space of loads."""
        import clarabel  # type: ignore[import-untyped]  # here: only where feet may let go

        columns = self._rows.columns
        wanted = np.zeros(columns)
        wanted[:self._size] = -direction / max(float(np.abs(direction).max()), 1e-300)
        found = clarabel.DefaultSolver(_nothing(columns), wanted, self._matrix, self._right, self._cones,
                                       _settings()).solve()
        status = str(found.status)
        there = np.array(found.x)
        return Borne(there[:self._size] * self._most, status in ("Solved", "PrimalInfeasible"), status == "Solved",
                     there[self._size:])

    def roomiest(self) -> tuple[FloatArray, FloatArray, IntArray] | None:
        """(3F + 3P,) forces that bear the weight and keep farthest from every cone and peg [N], their `ways`, and the
        (P,) numbers of pegged feet; None where nothing bears it. For a program of one load, which is left out.

        Source: (G4). Test: tests/statics/feet/test_collapse.py
        """
        import clarabel  # here: only where feet may let go

        bounds, cones = self._rows.with_room()
        matrix = _columns_of(np.concatenate((self._rows.forces(self._rigid, np.zeros((len(self._rigid), 1))), bounds,
                                             cones)))
        wanted = np.zeros(self._rows.columns)
        wanted[0] = -1.0
        found = clarabel.DefaultSolver(_nothing(len(wanted)), wanted, matrix, self._right, self._cones,
                                       _settings()).solve()
        there = np.array(found.x)
        stands = str(found.status) == "Solved" and there[0] >= 0
        return (there[1:] * self.scale_n, self.ways, self._rows.pegged) if stands else None

    def bears(self, loads_n: FloatArray, forces: FloatArray) -> BoolArray:
        """(k,) True where k loads on top of the weight are proven to be borne: forces like these balance them.

        Guessed forces are brought into balance by the least change there is, then held against every cone.

        Source: (G4). Test: tests/statics/feet/test_collapse.py

        Parameters
        ----------
        loads_n : (k, 3F) array
            Forces with which each presses on the pinned feet. [N]
        forces : (k, 3F + 3P) array
            What may bear each, as `Borne.forces`.
        """
        ways = self.ways
        asked = self._right[:len(ways)] - loads_n @ self._rigid.T / self.scale_n
        there = forces + (asked - forces @ ways.T) @ np.linalg.pinv(ways).T
        left = self._right[len(ways):] - there @ self._matrix_of_cones.T
        # (load, cone, component)
        bounds, cones = left[:, :len(self._rows.bounds)], left[:, len(self._rows.bounds):].reshape(len(left), -1, 3)
        rub = (cones[:, :, 0] >= np.hypot(cones[:, :, 1], cones[:, :, 2])).all(axis=1)
        return np.asarray(rub & (bounds >= 0).all(axis=1))

    @property
    def ways(self) -> FloatArray:
        """(r, 3F + 3P) what ground and pegs do on each movement that strains nothing."""
        return self._rows.forces(self._rigid, np.zeros((len(self._rigid), 0)))

    @property
    def _matrix_of_cones(self) -> FloatArray:
        """Rows of bounds and cones without those of the loads."""
        return np.concatenate((self._rows.bounds, self._rows.cones))[:, self._size:]


@cache
def _settings() -> Any:
    import clarabel  # here: only where feet may let go

    settings = clarabel.DefaultSettings()
    settings.verbose = False
    return settings


@cache
def _nothing(columns: int) -> Any:
    """A sparse matrix of zeros: programs here are linear in what they ask for."""
    from scipy.sparse import csc_matrix  # here: scipy would slow the start of the server

    return csc_matrix((columns, columns))


def _columns_of(rows: FloatArray) -> Any:
    """The matrix, sparse, by columns."""
    from scipy.sparse import csc_matrix  # here: scipy would slow the start of the server

    columns = np.ascontiguousarray(rows.T)
    filled = columns != 0
    first = np.concatenate(((0,), np.cumsum(filled.sum(axis=1))))
    return csc_matrix((columns[filled], np.nonzero(filled)[1].astype(np.int32), first.astype(np.int32)),
                      shape=rows.shape)


def slides_apart(feet: Feet) -> bool:
    """True if the weight alone is not borne once friction is lost, by shape and what holds the feet; proven, not tried.

    Source: (G4). Test: tests/statics/feet/test_collapse.py
    """
    if not feet.rigid.shape[1] or _stands_upright(feet):
        return False
    bare = replace(feet, on=replace(feet.on, friction=np.zeros(feet.count)))
    nothing = np.zeros((1, 3 * feet.count))
    found = CollapseProgram(bare, feet.weight_n[0], nothing, 1.0).farthest(np.ones(1))
    return found.settled and not found.stands


def _stands_upright(feet: Feet) -> bool:
    """True if the least upright forces that balance the weight press on every foot: then no program need be asked.

    Source: (G4). Test: tests/statics/feet/test_collapse.py
    """
    weight, upright = feet.weight_n[0], feet.rigid[2::3]
    asked = -feet.rigid.T @ weight
    presses = np.linalg.lstsq(upright.T, asked, rcond=None)[0]
    missed = float(np.abs(presses @ upright - asked).max())
    return bool((presses > 0).all()) and missed <= _ROUNDING * float(np.abs(weight).max())


_ROUNDING = 1e-9
"""Forces below this part of the largest are none [1]. Source: our choice, rounding. Test:
tests/statics/feet/test_collapse.py"""
_FARTHEST = 1e3
"""Loads beyond this many times the weight are not looked at [1].
Source: our choice. Test: tests/statics/feet/test_collapse.py"""


class _Rows:
    """Columns: loads, then foot forces x y z on the ground cone, then those of pegs. Rows: balance, bounds, cones."""

    def __init__(self, on: Footing, scale: float, loads: int, *, tips_only: bool) -> None:
        self._feet = len(on.feet)
        self.pegged = np.flatnonzero((on.peg_up_n > 0) | (on.peg_side_n > 0))
        self.columns = loads + 3 * self._feet + 3 * len(self.pegged)
        each, ground = np.arange(loads), loads + 3 * np.arange(self._feet)
        pegs = loads + 3 * (self._feet + np.arange(len(self.pegged)))
        floor = ground if tips_only else ground[~(on.friction > 0)]
        column = np.concatenate((each, each, floor + 2, pegs + 2, pegs + 2))
        sign = np.repeat((1.0, -1.0, -1.0, 1.0, -1.0), (loads, loads, len(floor), len(pegs), len(pegs)))
        self.bounds = np.zeros((len(column), self.columns))
        self.bounds[np.arange(len(column)), column] = sign
        self.bounds_right = np.zeros(len(column))
        self.bounds_right[:2 * loads] = 1.0
        self.bounds_right[len(column) - len(pegs):] = on.peg_up_n[self.pegged] / scale
        most = np.concatenate((on.most_sideways_n, on.peg_side_n[self.pegged])) / scale
        capped = np.concatenate((ground, pegs))[np.isfinite(most)]
        friction = np.concatenate((on.friction, np.zeros(len(capped))))
        bears = np.concatenate((np.zeros(self._feet), most[np.isfinite(most)]))
        some = slice(0 if tips_only else None)
        self.cones, self.cones_right = _cones(np.concatenate((ground, capped))[some], friction[some], bears[some],
                                              self.columns)
        self._rubs = np.concatenate((on.friction > 0, np.ones(len(capped), dtype=bool)))[some] & (
            np.concatenate((on.most_sideways_n, bears[self._feet:]))[some] > 0)
        self._pulls = np.tile(on.peg_up_n[self.pegged] > 0, 2)

    def with_room(self) -> tuple[FloatArray, FloatArray]:
        """Rows of bounds and cones whose first column is the room that is left to every cone and peg that bears."""
        bounds, cones = self.bounds.copy(), self.cones.copy()
        bounds[len(bounds) - len(self._pulls):, 0] = self._pulls
        cones[::3, 0] = self._rubs
        return bounds, cones

    def forces(self, rigid: FloatArray, loads: FloatArray) -> FloatArray:
        """(r, columns) what loads, ground and pegs do on each movement that strains nothing."""
        # (movement, foot, axis)
        three = rigid.reshape(len(rigid), self._feet, 3)
        pegs = three[:, self.pegged].reshape(len(rigid), 3 * len(self.pegged))
        return np.concatenate((loads, rigid, pegs), axis=1)

    def kinds(self, balance: int) -> list[Any]:
        """The cones of all rows, in order."""
        import clarabel

        rub = [clarabel.SecondOrderConeT(3)] * (len(self.cones) // 3)
        return [clarabel.ZeroConeT(balance), clarabel.NonnegativeConeT(len(self.bounds)), *rub]


def _cones(column: IntArray, friction: FloatArray, most: FloatArray, columns: int) -> tuple[FloatArray, FloatArray]:
    """Rows of |sideways| ≤ friction × press + most, for each force that begins at a column."""
    rows, right = np.zeros((3 * len(column), columns)), np.zeros(3 * len(column))
    first = 3 * np.arange(len(column))
    rows[first, column + 2], right[first] = -friction, most
    rows[first + 1, column] = rows[first + 2, column + 1] = -1.0
    return rows, right
