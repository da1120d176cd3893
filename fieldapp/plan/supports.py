"""What keeps a stage from moving: hubs on the ground stay put, carried hubs are only borne."""

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame
from fieldapp.plan.plan import Step
from fieldapp.statics.model import Model
from fieldapp.statics.solved import Solved
from fieldapp.statics.stage import Stage, stage_of
from fieldapp.statics.stiffness import Unstable

STILL = np.eye(3)
"""A hub on the ground, on a prop, or held by a person: no way to go (in no formula)."""
UP, ACROSS_X, ACROSS_Y = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
"""Unit vectors (in no formula)."""

ROUNDING = 1e-6
"""Share of the largest reaction below which one is none (in no formula)."""

Supports = dict[str, FloatArray]
"""Hub place → (r, 3) unit directions in which it cannot move."""


def supports_of(frame: Frame, step: Step) -> Supports:
    """Where the stage after `step` is supported."""
    return {**carried_supports(frame, step.carried_at), **kept_still(step.stands_on)}


def kept_still(hubs: Iterable[str]) -> Supports:
    """Hubs that stand on the ground or are held."""
    return dict.fromkeys(hubs, STILL)


def carried_supports(frame: Frame, carriers: Sequence[str]) -> Supports:
    """Carriers bear weight and nothing else.

    Three sideways supports stop the piece from drifting and turning as a whole. They are statically
    determinate: under its weight they carry nothing, so the piece may rack as freely as in people's hands.

    Source: (P12). Test: tests/plan/test_ways.py, tests/statics/test_lifting_evenly.py
    """
    if not carriers:
        return {}
    places = np.array([frame.position_mm(hub)[:2] for hub in carriers])
    away = places - places[0]
    far = int(np.linalg.norm(away, axis=1).argmax())
    across = ACROSS_Y if abs(away[far, 0]) >= abs(away[far, 1]) else ACROSS_X
    found = dict.fromkeys(carriers, UP[None])
    found[carriers[far]] = np.array([UP, across])
    found[carriers[0]] = STILL
    return found


def on_carriers(frame: Frame, carriers: Sequence[str], still: Supports,
                answer_on: Callable[[Supports], Solved | Unstable]) -> Solved | Unstable:
    """The answer on those carriers that the piece weighs on; on none of them where it tips out of their hands.

    Source: (P12). Test: tests/plan/test_ways.py

    Parameters
    ----------
    frame : Frame
    carriers : sequence of str
        Whoever they are told to be: hands bear a piece, and do not keep it down.
    still : Supports
        What else keeps it.
    answer_on : callable
        Solves the stage on given supports.
    """
    while True:
        answer = answer_on({**carried_supports(frame, carriers), **still})
        lifted = _lifted_off(answer, carriers)
        if not lifted:
            return answer
        carriers = tuple(hub for hub in carriers if hub not in lifted)


def _lifted_off(answer: Solved | Unstable, carriers: Sequence[str]) -> tuple[str, ...]:
    """Carriers whose hub the piece would pull upward under its weight."""
    if not carriers or isinstance(answer, Unstable):
        return ()
    up_n = answer.ready.reactions(answer.weight.displacements, answer.weight.load.hubs_n)[0, :, 2]
    index, most_n = answer.stage.model.hub_index, float(np.abs(up_n).max())
    return tuple(hub for hub in carriers if up_n[index[hub]] < -ROUNDING * most_n)


def supported_stage(model: Model, hubs: Iterable[str], struts: Iterable[str], supports: Supports) -> Stage:
    """The stage of these places, kept from moving as `supports` say and nowhere else.

    Raises
    ------
    StaticsError
        If a name is unknown, or a strut lacks one of its hubs.
    """
    stage = stage_of(model, hubs, struts, ground=())
    fixed = stage.fixed.copy()
    for hub, rows in supports.items():
        fixed[model.hub_index[hub], :3] = np.abs(rows).max(axis=0) > 0
    return Stage(model, stage.hubs, stage.struts, fixed)
