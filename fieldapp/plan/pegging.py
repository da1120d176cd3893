"""Which feet are pegged or weighed down, before which step: from what each asks at every stage of a plan."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.plan import Step

LEAST_N = 0.05
"""Less than this is nothing: rounding of the computation [N].
Source: our choice, a two-thousandth of a person's push. Test: tests/plan/test_pegging.py"""
ROUND_UP_N = 10.0
"""What must be held is told in steps of this, rounded up: a spring scale reads no finer [N].
Source: our choice. Test: tests/plan/test_pegging.py"""


@dataclass(frozen=True, slots=True)
class FootNeed:
    """What must hold a foot at one stage, design values."""

    up_n: float = 0.0
    """Down, against being lifted [N]."""
    sideways_n: float = 0.0
    """Against sliding [N]."""
    is_needed: bool = False
    """True if the stage needs its feet held."""


Needs = Mapping[str, FootNeed]
"""Foot → what must hold it."""


def peggings_of(steps: Sequence[Step], needs: Sequence[Needs], always: Collection[str] = ()) -> tuple[Pegging, ...]:
    """The peggings of a plan: at the first step that needs one, all feet that stand by then and ever need it.

    Parameters
    ----------
    steps : sequence of Step
    needs : sequence of mapping
        For each step what its stage asks of each of its feet, before anything holds them: every foot of the frame that
        stands then.
    always : collection of str
        Feet that the design has held whatever they need.

    Returns
    -------
    tuple of Pegging
        Each foot once; one that comes in later waits for the next pegging. A foot that needs it by the very step it
        comes in with is held before the next.

    Source: (P17). Test: tests/plan/test_pegging.py
    """
    placed: dict[str, int] = {}
    held: dict[str, HeldFoot] = {}
    for step, found in zip(steps, needs, strict=True):
        for hub, need in found.items():
            placed.setdefault(hub, step.number)
            if need.is_needed or hub in always:
                held[hub] = _more(held.get(hub) or HeldFoot(hub, 0.0, 0.0, step.number), need)
    due = {hub: max(foot.needed_from, placed[hub] + 1) for hub, foot in held.items()}
    peggings: list[Pegging] = []
    while due:
        before = min(due.values())
        hubs = sorted(hub for hub in due if placed[hub] < before)
        peggings.append(Pegging(before, _alike([held[hub] for hub in hubs])))
        due = {hub: number for hub, number in due.items() if hub not in hubs}
    return tuple(peggings)


def _more(foot: HeldFoot, need: FootNeed) -> HeldFoot:
    return replace(foot, up_n=max(foot.up_n, need.up_n), sideways_n=max(foot.sideways_n, need.sideways_n))


def _alike(feet: Sequence[HeldFoot]) -> tuple[HeldFoot, ...]:
    """As they are told: one size of peg for all that are driven together, never less than was computed."""
    up_n, sideways_n = _up(max(foot.up_n for foot in feet)), _up(max(foot.sideways_n for foot in feet))
    return tuple(replace(foot, up_n=up_n, sideways_n=sideways_n) for foot in feet)


def _up(force_n: float) -> float:
    return math.ceil(force_n / ROUND_UP_N) * ROUND_UP_N if force_n > LEAST_N else 0.0
