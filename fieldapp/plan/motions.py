"""How the pin-jointed frame can move, followed hub by hub, and the fewest hubs that must be held.

A frame grows by one hub at a time. Its mechanisms are kept as the null space of the compatibility
matrix, but only for the hubs that move, so that a step costs the size of what is loose and not the
size of the frame.
"""

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.plan.assemble import other_hub
from fieldapp.plan.plan import Step
from fieldapp.plan.supports import Supports, supports_of
from fieldapp.plan.telling import tell

RANK_TOLERANCE = 1e-9
"""Singular values of unit directions below this count as zero; frames that can be built stay above 1e-3 [1].
Source: our choice (P2). Test: tests/plan/test_ways.py"""
SEARCH_LIMIT = 1000
"""Most sets of hubs tried one by one when the greedy set may not be the smallest (in no formula)."""


FREE = np.zeros((0, 3))
"""No support at all (in no formula)."""


@dataclass(frozen=True, slots=True, eq=False)
class Motions:
    """Independent motions without strain, for the hubs that move."""

    hubs: tuple[str, ...] = ()
    blocks: FloatArray = field(default_factory=lambda: np.zeros((0, 3, 0)))  # (hub, axis, motion)
    """(hubs, 3, count) each hub's share of each motion."""

    @property
    def count(self) -> int:
        """How many independent motions there are: m of Maxwell's rule."""
        return int(self.blocks.shape[2])

    def with_hub(self, hub: str, ties: Sequence[tuple[str, FloatArray]], support: FloatArray = FREE, *,
                 there: bool = False) -> "Motions":
        """The motions once `hub` is in.

        Source: (P2): Pellegrino & Calladine, IJSS 22, 1986. Test: tests/reference/test_pellegrino_calladine_1986.py

        Parameters
        ----------
        hub : str
            The new hub, or one that is in already and gets more struts.
        there : bool, optional
            True for one that is in already: it may stand still, and is not among the hubs that move then.
        ties : sequence of (str, (3,) array)
            Hub at the far end and unit direction of each new strut.
        support : (r, 3) array, optional
            Directions in which the hub cannot move.

        Returns
        -------
        Motions
        """
        fresh = len(support) < 3 and not there and hub not in self.hubs
        if not fresh and not self.count:
            return self
        hubs, blocks = (*self.hubs, hub) if fresh else self.hubs, self.blocks
        if fresh:
            blocks = np.zeros((len(hubs), 3, self.count + 3))  # (hub, axis, motion)
            blocks[:-1, :, :self.count], blocks[-1, :, self.count:] = self.blocks, np.eye(3)
        at = {name: blocks[i] for i, name in enumerate(hubs)}
        still = np.zeros(blocks.shape[1:])
        own = at.get(hub, still)
        rows = [*support @ own, *(unit @ (own - at.get(far, still)) for far, unit in ties)]
        return _reduced(hubs, blocks, np.array(rows))

    def without(self, hubs: Iterable[str]) -> "Motions":
        """The motions that are left when `hubs` are held."""
        held = set(hubs)
        rows = [self.blocks[i] for i, name in enumerate(self.hubs) if name in held]
        return _reduced(self.hubs, self.blocks, np.vstack(rows)) if rows else self


def _reduced(hubs: tuple[str, ...], blocks: FloatArray, constraints: FloatArray) -> Motions:
    """The motions that some rows leave: `blocks` times the null space of the rows (P2)."""
    if len(constraints) == 0:
        return Motions(hubs, blocks)
    _, values, rows = np.linalg.svd(constraints)
    moved = blocks @ rows[int(np.sum(values > RANK_TOLERANCE)):].T
    moves = np.abs(moved).max(axis=(1, 2), initial=0.0) > RANK_TOLERANCE
    return Motions(tuple(name for name, yes in zip(hubs, moves, strict=True) if yes), moved[moves])


def directions(frame: Frame, step: Step) -> list[tuple[str, FloatArray]]:
    """Far hub and unit direction of each strut of `step`, seen from the hub of the step."""
    return [unit_to(frame, step.hub, other_hub(frame.strut(insertion.strut), step.hub)) for insertion in step.struts]


def unit_to(frame: Frame, hub: str, far: str) -> tuple[str, FloatArray]:
    """`far` and the unit vector towards it."""
    line = frame.position_mm(far) - frame.position_mm(hub)
    return far, line / math.sqrt(line @ line)


def smallest_holds(motions: Motions, *, prefer: Collection[str] = ()) -> tuple[str, ...]:
    """The fewest hubs whose holding leaves no motion.

    Source: (P3). Test: tests/plan/test_motions.py

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
    if motions.count == 1:
        return (_firmest(motions, prefer),)
    chosen = _greedy_holds(motions, prefer)
    at = dict(zip(motions.hubs, motions.blocks, strict=True))
    order = sorted(motions.hubs, key=lambda hub: (hub not in prefer, hub))
    tried = 0
    for size in range(-(-motions.count // 3), len(chosen)):
        for hubs in combinations(order, size):
            tried += 1
            if tried > SEARCH_LIMIT:
                return tuple(sorted(chosen))
            if np.linalg.matrix_rank(np.vstack([at[hub] for hub in hubs]), RANK_TOLERANCE) == motions.count:
                return tuple(sorted(hubs))
    return tuple(sorted(chosen))


def _firmest(motions: Motions, prefer: Collection[str]) -> str:
    """The hub to hold against a single motion: one that is held already, or the one that moves most."""
    size = np.round(np.sqrt(np.square(motions.blocks[:, :, 0]).sum(axis=1)), 9).tolist()
    _, _, hub = max(zip((hub in prefer for hub in motions.hubs), size, motions.hubs, strict=True))
    return hub


def _greedy_holds(motions: Motions, prefer: Collection[str]) -> list[str]:
    """Always the hub that stops most motions; among equals one that is held already, then the firmest grip."""
    chosen: list[str] = []
    left = motions
    while left.count:
        values = np.linalg.svd(left.blocks, compute_uv=False)
        ranks = np.sum(values > RANK_TOLERANCE, axis=1)
        firm = np.round(values[np.arange(len(ranks)), np.maximum(ranks - 1, 0)], 9)
        _, _, _, hub = max(zip(ranks.tolist(), (hub in prefer for hub in left.hubs), firm.tolist(), left.hubs,
                               strict=True))
        chosen.append(hub)
        left = left.without([hub])
    return chosen


def motions_by_step(frame: Frame, steps: Sequence[Step]) -> list[Motions]:
    """The motions after every step, on the supports that the stage has then."""
    found: list[Motions] = []
    motions, before = Motions(), Supports()
    for number, step in enumerate(steps):
        now = supports_of(frame, step)
        tell("holds", number + 1, len(steps))
        if any(not _same(now.get(hub, FREE), before.get(hub, FREE)) for hub in {*now, *before} - {step.hub}) \
                or (step.joins and not _same(now.get(step.hub, FREE), before.get(step.hub, FREE))):
            motions = Motions()
            for earlier in steps[:number]:
                motions = _stepped(frame, motions, earlier, now)
        motions = _stepped(frame, motions, step, now)
        before = now
        found.append(motions)
    return found


def _stepped(frame: Frame, motions: Motions, step: Step, now: Supports) -> Motions:
    """The motions once a step is in; the hub of one that ties a piece on is in already, and may stand still."""
    return motions.with_hub(step.hub, directions(frame, step), now.get(step.hub, FREE), there=step.joins)


def _same(some: FloatArray, others: FloatArray) -> bool:
    return some is others or np.array_equal(some, others)


def motions_of(frame: Frame, hubs: Sequence[str], struts: Collection[str], supports: Supports) -> Motions:
    """The motions of any set of hubs and struts on any supports; struts without both hubs do not count.

    Hubs are taken lowest level first, so that little is loose on the way there.
    """
    inside = set(struts)
    motions, placed = Motions(), set[str]()
    for name in sorted(hubs, key=lambda hub: frame.hub_index[hub]):
        ties = [unit_to(frame, name, far) for far in _tied(frame, name, inside, placed)]
        motions = motions.with_hub(name, ties, supports.get(name, FREE))
        placed.add(name)
    return motions


def _tied(frame: Frame, hub: str, struts: Collection[str], placed: Collection[str]) -> list[str]:
    """Placed hubs that a strut of the set ties to `hub`."""
    fars = ((arm.strut, other_hub(frame.strut(arm.strut), hub)) for arm in frame.hub(hub).arms)
    return [far for strut, far in fars if strut in struts and far in placed]


def holds_by_step(frame: Frame, steps: Sequence[Step]) -> list[tuple[str, ...]]:
    """The holds after every step; whoever holds a hub already keeps it where that needs no more people."""
    found: list[tuple[str, ...]] = []
    for motions in motions_by_step(frame, steps):
        found.append(smallest_holds(motions, prefer=found[-1] if found else ()))
    return found
