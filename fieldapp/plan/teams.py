"""Several teams at once: who starts when, how long it all takes, how long hubs are held and struts hang loose."""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from fieldapp.frame.design import CrewSection
from fieldapp.plan.plan import Step

TEAM_PEOPLE = 3
"""One with the hub, two with the struts [1]. Source: common practice, no source. Test: tests/plan/test_compare.py"""


@dataclass(frozen=True, slots=True)
class Timetable:
    """When every step ends, in the order of the steps [min]."""

    end_min: tuple[float, ...]
    hold_minutes: float
    """Held hubs times minutes."""
    loose_strut_minutes: float
    """Struts held at one end only times minutes."""

    @property
    def total_min(self) -> float:
        """From the first hub to the last [min]."""
        return max(self.end_min, default=0.0)


def team_count(crew: CrewSection, holds_at_most: int) -> int:
    """The crew's teams, or as many as are left when `holds_at_most` people hold hubs; at least one."""
    return max(1, min(crew.teams, (crew.people - holds_at_most) // TEAM_PEOPLE))


def timetable(steps: Sequence[Step], *, teams: int, minutes_per_step: float,
              holds: Sequence[Sequence[str]]) -> Timetable:
    """Steps given to teams in order: each starts when a team is free and the hubs it waits for stand.

    A run of steps in the same level of the same piece is finished by all teams before the next run begins.

    Parameters
    ----------
    steps : sequence of Step
    teams : int
    minutes_per_step : float
        One team's pace. [min]
    holds : sequence of sequence of str
        Held hubs after each step.

    Returns
    -------
    Timetable
    """
    ends: list[float] = []
    done: dict[str, float] = {}
    start_min = 0.0
    for _, run in groupby(steps, key=lambda step: (step.piece, step.level, step.joins)):
        free = [start_min] * teams
        for step in run:
            ready = max([heapq.heappop(free), *(done.get(hub, 0.0) for hub in step.waits_for)])
            ends.append(ready + minutes_per_step)
            done[step.hub] = ends[-1]
            heapq.heappush(free, ends[-1])
        start_min = max(ends)
    return Timetable(tuple(ends), _hold_minutes(ends, holds),
                     sum(loose_strut_minutes(step, minutes_per_step) for step in steps))


def _hold_minutes(ends: Sequence[float], holds: Sequence[Sequence[str]]) -> float:
    """Each stage lasts until the next step ends."""
    return sum(len(held) * max(0.0, after - before)
               for held, before, after in zip(holds, ends, [*ends[1:], ends[-1] if ends else 0.0], strict=True))


def loose_strut_minutes(step: Step, minutes_per_step: float) -> float:
    """Struts of one step times the minutes they hang from one end.

    The step's time is shared evenly by its struts and its hub, which goes on last. A strut that closes
    meets both its hubs at once and does not hang, unless it hangs from a piece that is being set on.

    Examples
    --------
    >>> from fieldapp.plan.plan import Insertion
    >>> struts = (Insertion("S1", "H1", 2, 1), Insertion("S2", "H2", 2, 1))
    >>> loose_strut_minutes(Step(1, "H3", 2, struts, ("H1", "H2")), 6.0)
    6.0
    """
    share_min = minutes_per_step / (len(step.struts) + 1)
    return sum(minutes_per_step - number * share_min
               for number, insertion in enumerate(step.struts, start=1) if step.joins or not insertion.closes)
