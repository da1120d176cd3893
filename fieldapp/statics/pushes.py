"""How hard a hub may be pushed, whatever the direction, with the axial forces that the push itself causes.

The worst direction is not known beforehand, and in second order it depends on the size. First every strut is given the
lowest axial force that any direction of that size brings it, all at once: no direction leaves the stage softer than
that, and on this stiffness the worst direction is found exactly. Where that costs more than a few per cent, pushes are
tried along 42 directions, each with the axial forces that it causes itself, and the ball that fits between the pushes
that the stage bears is told.
"""

from functools import cache

import numpy as np

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics import loads
from fieldapp.statics.buckling import strut_tension_n
from fieldapp.statics.governing import governing_arm, governing_tube
from fieldapp.statics.governs import Governs
from fieldapp.statics.growth import Grown, cut
from fieldapp.statics.growth_search import LoadStep, within
from fieldapp.statics.instability import Unstable
from fieldapp.statics.response import Response, largest_pushes, response
from fieldapp.statics.second_order import enveloped
from fieldapp.statics.solved import ALPHA_CR_SMALL_ROTATIONS, Solved
from fieldapp.statics.tube_limits import STRONGEST_PUSH_N, pushed_tubes
from fieldapp.statics.tubes import TubeCapacity, most_used

_CLOSE = 0.07
"""Loss by taking all directions together that is let pass: what the ball within 42 directions may lose as well [1].
Source: our choice, on the careful side. Test: tests/statics/test_second_order.py"""


@cache
def directions() -> tuple[FloatArray, float]:
    """(42, 3) corners of an icosahedron and middles of its edges on the sphere, and the ball within their hull [1].

    Source: geometry; the ball touches the hull's nearest face. Test: tests/statics/test_second_order.py
    """
    from scipy.spatial import ConvexHull  # here: scipy would slow the start of the server

    golden = (1.0 + np.sqrt(5.0)) / 2.0
    corners = np.array([np.roll((0.0, a, b * golden), turn) for turn in range(3) for a in (1, -1) for b in (1, -1)])
    sums = np.concatenate([corners[face][:, None] + corners[face] for face in ConvexHull(corners).simplices])
    points = sums.reshape(-1, 3)
    axes = np.unique(np.round(points / np.linalg.norm(points, axis=1, keepdims=True), 12), axis=0)
    return axes, float(np.min(-ConvexHull(axes).equations[:, 3]))


def pushed(of: Solved, numbers: IntArray, tubes: TubeCapacity, most: FloatArray | None = None) -> Grown:
    """Largest push at each of the hub numbers with the moduli of the stage's model; infinite where it reaches nothing.

    Source: (S12), (S23), (S29). Test: tests/statics/test_limits.py, tests/statics/test_second_order.py
    """
    return pushed_by(of, loads.unit_pushes(of.stage, numbers), tubes, most)


def pushed_by(of: Solved, one_n: loads.Load, tubes: TubeCapacity, most: FloatArray | None = None) -> Grown:
    """The same for pushes at h places, given as 3 h cases: 1 N along x, y, z at each.

    Source: (S12), (S23), (S29). Test: tests/statics/test_free_ends.py
    """
    unit = one_n * GAMMA_Q
    answer, base = response(of.ready, unit), of.weight * GAMMA_G
    high, governs = _bounds(base, answer, tubes)
    factor = high if most is None else np.minimum(high, most)
    for case in np.flatnonzero((factor > 0) & np.isfinite(factor) & _near(base, tubes, factor, high)):
        three = unit.cases(slice(3 * int(case), 3 * int(case) + 3))
        factor[case], governs[case] = _push(of, three, tubes, (float(factor[case]), governs[case]))
    return Grown(factor, tuple(governs), _axial_n(answer, base, factor))


def bear_pushes(of: Solved, numbers: IntArray, tubes: TubeCapacity, push_n: FloatArray) -> BoolArray:
    """(h,) True where pushes of these sizes at the hub numbers are proven to be borne, whatever their direction.

    By every theory, on the stiffness that no direction leaves softer; cheaper than how much is borne.

    Source: (S29), (S30). Test: tests/statics/test_second_order.py
    """
    twin = of.twin
    if isinstance(twin, Unstable):
        return np.zeros(len(push_n), dtype=bool)
    sure = np.ones(len(push_n), dtype=bool)
    for one in (of,) if twin is None else (twin, of):
        sure &= _bear(one, loads.unit_pushes(one.stage, numbers) * GAMMA_Q, tubes, push_n)
    return sure


def _bear(of: Solved, unit: loads.Load, tubes: TubeCapacity, push_n: FloatArray) -> BoolArray:
    """The same with the moduli of the stage's model."""
    answer, base = response(of.ready, unit), of.weight * GAMMA_G
    high, _governs = _bounds(base, answer, tubes)
    sure = np.asarray(push_n <= np.minimum(high, STRONGEST_PUSH_N))
    for case in np.flatnonzero(sure & _near(base, tubes, push_n, high)):
        three = unit.cases(slice(3 * int(case), 3 * int(case) + 3))
        weight, one, steady = enveloped(of.ready, of.weight.load * GAMMA_G, three, float(push_n[case]))
        sure[case] = steady and _bounds(weight, one, tubes)[0][0] >= push_n[case]
    grown = Grown(push_n, (None,) * len(push_n), _axial_n(answer, base, push_n))
    return np.asarray(sure & (cut(of, grown).factor >= push_n))


def _axial_n(unit: Response, base: Response, factor: FloatArray) -> FloatArray:
    """(h, directions, struts) axial forces under base and pushes, at the corners of a hull that holds them all."""
    axes, ball = directions()
    axial = strut_tension_n(unit).reshape(len(factor), 3, unit.arms.shape[1])  # (hub, axis, strut)
    beyond = np.where(np.isfinite(factor), factor / ball, 0.0)[:, None, None]
    along = np.einsum("da,has->hds", axes, axial)  # (hub, direction, strut)
    return np.asarray(strut_tension_n(base)[0] + beyond * along)


def _near(base: Response, tubes: TubeCapacity, factor: FloatArray, high: FloatArray) -> BoolArray:
    """(h,) which pushes use so much in first order that second order may bring it to 1; use is convex in the push.

    Source: (S30): EN 1993-1-1 (5.4), 1 / (1 − 1/α_cr) at α_cr of 3. Test: tests/statics/test_free_ends.py
    """
    alone = max(float(base.arm_utilisation.max(initial=0.0)), float(most_used(base, tubes)[0].max(initial=0.0)))
    share = np.where(np.isfinite(factor), factor, 0.0) / np.where(high > 0, high, 1.0)
    return np.asarray(alone + (1.0 - alone) * share > 1.0 - 1.0 / ALPHA_CR_SMALL_ROTATIONS)


def _bounds(base: Response, unit: Response, tubes: TubeCapacity) -> tuple[FloatArray, list[Governs | None]]:
    """(h,) pushes on one stiffness, and what governs each; base is one case, unit 3 h."""
    stage, count = base.stage, len(unit.arms) // 3
    # (hub, axis, station, component)
    bound, station = largest_pushes(base.components[0], unit.components.reshape(count, 3, 4 * len(stage.struts), 3))
    least, strut = pushed_tubes(base, unit, tubes, bound)
    return least, [governing_tube(stage, int(tube)) or governing_arm(stage, int(at))
                   for tube, at in zip(strut, station, strict=True)]


def _push(of: Solved, unit: loads.Load, tubes: TubeCapacity, first: tuple[float, Governs | None]
          ) -> tuple[float, Governs | None]:
    """The push at one hub and what governs it, never more than what `first` says.

    What a stiffness allows falls as the push grows that it was softened by: if a push of a size allows less, that less
    is safe.

    Source: (S29). Test: tests/statics/test_second_order.py
    """
    most = min(first[0], STRONGEST_PUSH_N)
    base, one, steady = enveloped(of.ready, of.weight.load * GAMMA_G, unit, most)
    if steady:
        (allowed,), (governs,) = _bounds(base, one, tubes)
        if allowed >= most:
            return first
        if allowed >= (1.0 - _CLOSE) * most:
            return float(allowed), governs
    return _in_all_directions(of, unit, tubes, first)


def _in_all_directions(of: Solved, unit: loads.Load, tubes: TubeCapacity, first: tuple[float, Governs | None]
                       ) -> tuple[float, Governs | None]:
    """The ball within the hull of what is borne along each direction.

    What a stage bears is convex in first order, and in second order as far as one mode of buckling enlarges it: use ÷
    (1 − N / N_cr) ≤ 1 is a half-space of pushes. So what lies between pushes that are borne is borne.

    Source: (S29). Test: tests/statics/test_second_order.py
    """
    axes, ball = directions()
    along = np.einsum("da,anf->dnf", axes, unit.hubs_n)  # (direction, hub, dof)
    step = LoadStep(loads.on_hubs(of.stage, along))
    found = within(of, step, tubes, np.full(len(axes), min(first[0], STRONGEST_PUSH_N) / ball))
    at = int(found.factor.argmin())
    return min(first, (ball * float(found.factor[at]), found.governs[at] or first[1]), key=lambda one: one[0])
