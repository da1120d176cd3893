"""How the pin-jointed frame can move, followed hub by hub, and the fewest hubs that must be held.

A frame grows by one hub at a time. Its mechanisms are kept as the null space of the compatibility
matrix, but only for the hubs that move, so that a step costs the size of what is loose and not the
size of the frame.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.plan.assemble import other_hub
from fieldapp.plan.plan import Step

RANK_TOLERANCE = 1e-9
"""Singular values of unit directions below this count as zero; frames that can be built stay above 1e-3."""
SEARCH_LIMIT = 1000
"""Most sets of hubs tried one by one when the greedy set may not be the smallest."""


@dataclass(frozen=True, slots=True)
class Motions:
    """Independent motions without strain. `blocks` gives each moving hub's (3, count) share."""

    count: int = 0
    blocks: Mapping[str, FloatArray] = field(default_factory=dict)

    def with_hub(self, hub: str, ties: Sequence[tuple[str, FloatArray]], *, fixed: bool) -> "Motions":
        """The motions once `hub` is in.

        Parameters
        ----------
        hub : str
            The new hub, or one that is in already and gets more struts.
        ties : sequence of (str, (3,) array)
            Hub at the far end and unit direction of each new strut.
        fixed : bool
            True if the hub rests on the ground or is carried.

        Returns
        -------
        Motions
        """
        fresh = hub not in self.blocks and not fixed
        width = self.count + (3 if fresh else 0)
        if width == 0:
            return self
        blocks = {name: np.hstack([block, np.zeros((3, width - self.count))]) for name, block in self.blocks.items()}
        if fresh:
            blocks[hub] = np.eye(3, width, self.count)
        still = np.zeros((3, width))
        rows = [unit @ (blocks.get(hub, still) - blocks.get(far, still)) for far, unit in ties]
        return _reduced(blocks, np.array(rows).reshape(-1, width))

    def without(self, hubs: Iterable[str]) -> "Motions":
        """The motions that are left when `hubs` are held."""
        rows = [self.blocks[hub] for hub in hubs if hub in self.blocks]
        return _reduced(dict(self.blocks), np.vstack(rows)) if rows else self


def _reduced(blocks: dict[str, FloatArray], constraints: FloatArray) -> Motions:
    width = constraints.shape[1]
    if len(constraints) == 0:
        return Motions(width, blocks)
    _, values, rows = np.linalg.svd(constraints)
    basis = rows[int(np.sum(values > RANK_TOLERANCE)):].T
    moved = {hub: block @ basis for hub, block in blocks.items()}
    return Motions(basis.shape[1], {hub: b for hub, b in moved.items() if np.abs(b).max(initial=0.0) > RANK_TOLERANCE})


def directions(frame: Frame, step: Step) -> list[tuple[str, FloatArray]]:
    """Far hub and unit direction of each strut of `step`, seen from the hub of the step."""
    found = []
    for insertion in step.struts:
        far = other_hub(frame.strut(insertion.strut), step.hub)
        line = frame.position_mm(far) - frame.position_mm(step.hub)
        found.append((far, line / float(np.linalg.norm(line))))
    return found


def smallest_holds(motions: Motions, *, prefer: Collection[str] = ()) -> tuple[str, ...]:
    """The fewest hubs whose holding leaves no motion.

    Parameters
    ----------
    motions : Motions
    prefer : collection of str
        Hubs that are held already: among equally small sets these are taken.

    Returns
    -------
    tuple of str
        Sorted. Smallest is proved when it equals a third of the motions, or by trying every smaller set;
        beyond `SEARCH_LIMIT` sets the greedy one stands.
    """
    chosen = _greedy_holds(motions, prefer)
    least = -(-motions.count // 3)
    tried = 0
    for size in range(least, len(chosen)):
        for hubs in combinations(sorted(motions.blocks, key=lambda hub: (hub not in prefer, hub)), size):
            tried += 1
            if tried > SEARCH_LIMIT:
                return tuple(sorted(chosen))
            if np.linalg.matrix_rank(np.vstack([motions.blocks[hub] for hub in hubs]), RANK_TOLERANCE) == motions.count:
                return tuple(sorted(hubs))
    return tuple(sorted(chosen))


def _greedy_holds(motions: Motions, prefer: Collection[str]) -> list[str]:
    chosen: list[str] = []
    left = motions
    while left.count:
        hub = max(left.blocks, key=lambda name: (*_grip(left.blocks[name], name in prefer), name))
        chosen.append(hub)
        left = left.without([hub])
    return chosen


def _grip(block: FloatArray, preferred: object) -> tuple[int, bool, float]:
    """How many motions holding this hub stops, whether it is held already, and how well it stops them."""
    values = np.linalg.svd(block, compute_uv=False)
    rank = int(np.sum(values > RANK_TOLERANCE))
    return rank, bool(preferred), round(float(values[max(rank - 1, 0)]), 9)


def motions_by_step(frame: Frame, steps: Sequence[Step]) -> list[Motions]:
    """The motions after every step, with the hubs on the ground and those that are carried kept still."""
    found: list[Motions] = []
    motions, still = Motions(), frozenset[str]()
    for number, step in enumerate(steps):
        now = frozenset((*step.stands_on, *step.carried_at))
        if number and now - {step.hub} != still:
            motions = Motions()
            for earlier in steps[:number]:
                motions = motions.with_hub(earlier.hub, directions(frame, earlier), fixed=earlier.hub in now)
        motions, still = motions.with_hub(step.hub, directions(frame, step), fixed=step.hub in now), now
        found.append(motions)
    return found


def holds_by_step(frame: Frame, steps: Sequence[Step]) -> list[tuple[str, ...]]:
    """The holds after every step; whoever holds a hub already keeps it where that needs no more people."""
    found: list[tuple[str, ...]] = []
    for motions in motions_by_step(frame, steps):
        found.append(smallest_holds(motions, prefer=found[-1] if found else ()))
    return found
