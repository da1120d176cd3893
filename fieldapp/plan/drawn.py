"""Frames drawn from the tolerances of a design, the same in every run: what their parts that err lock in."""

from collections.abc import Iterator

import numpy as np

from fieldapp.base.units import rad_from_deg
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case
from fieldapp.plan.fit_limits import DRAWS
from fieldapp.plan.locked import forced_fit
from fieldapp.plan.misfits import DIPS, Errors, Together
from fieldapp.statics.response import Response
from fieldapp.statics.stiffness import Factored

STRUTS_AT_ONCE = 20_000
"""Struts of drawn frames worked out at once (in no formula)."""


def tolerances(case: Case) -> tuple[float, float]:
    """How much lengths [mm] and arms [rad] of the design may err; of several sections the length that errs most."""
    return max(of.length_error_mm for of in case.design.used_sections), rad_from_deg(case.design.hub.angle_error_deg)


def in_lots(ready: Factored) -> Iterator[IntArray]:
    """The numbers of all drawn frames, in lots that take little memory."""
    yield from np.array_split(np.arange(DRAWS), -(-DRAWS * len(ready.stage.struts) // STRUTS_AT_ONCE))


def drawn_response(ready: Factored, way: Together, draws: IntArray, *, of_length: float = 0.0,
                   of_angle: float = 0.0) -> Response:
    """What errors that lie evenly within ± so many mm or rad lock in: one case a draw.

    Source: (P8), (P18). Test: tests/plan/test_fitup.py
    """
    return forced_fit(ready, drawn_errors(ready.stage.struts, way, draws, of_length=of_length, of_angle=of_angle))


def drawn_errors(struts: IntArray, way: Together, draws: IntArray, *, of_length: float = 0.0,
                 of_angle: float = 0.0) -> Errors:
    """Errors of some struts, by number, that lie evenly within ± so many mm or rad: one set a draw.

    Source: (P8), (P18). Test: tests/plan/test_fitup.py
    """
    length, out, within = (_evenly(draws, numbers, seed)[:, numbers[struts]] for seed, numbers in
                           enumerate((way.length, way.out, way.within)))
    return Errors(of_length * length, of_angle * DIPS * out, of_angle * within)


def _evenly(draws: IntArray, numbers: IntArray, seed: int) -> FloatArray:
    """(draws, independent errors) numbers between −1 and 1, the same in every run."""
    random = np.random.default_rng((seed, int(draws[0])))
    return random.uniform(-1.0, 1.0, (len(draws), int(numbers.max(initial=-1)) + 1))
