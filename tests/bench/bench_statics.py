"""Stages of a growing frame: against another frame library, against one bare factorisation, and as the frame grows.

Run with `pytest -m bench -s tests/bench/bench_statics.py`. Ratios are measured side by side in one run.
"""

import importlib.util
from dataclasses import replace
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from fieldapp.base.said import in_words
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection
from fieldapp.statics import loads
from fieldapp.statics.feet.contact import ground_forces
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import HELD, starts_of
from fieldapp.statics.limits import lag_limit, push_limits, solved, weight_utilisation
from fieldapp.statics.model import model
from fieldapp.statics.response import response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Unstable, factored, stage_of
from fieldapp.statics.tubes import tube_capacity
from fieldapp.statics.wind import wind_limit

pytestmark = pytest.mark.bench

_spec = importlib.util.spec_from_file_location(
    "pynite_frame", Path(__file__).parent.parent / "reference" / "pynite_frame.py")
pynite_frame = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pynite_frame)


def least_seconds(work, repeats=3):
    """The least of several runs: what it costs when nothing else is in the way."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def _made(frequency, cut, *, level):
    design = Design(frame=FrameSection(frequency=frequency, cut=cut, level_base=level, diameter_m=2.6 * frequency),
                    hub=HubSection(reach_mm=100.0))
    frame = build_frame(design)
    return design, frame, model(frame, design)


def _stages(frame, made):
    """Every stage of the plain ring order, hub by hub, from the closed ground ring on, that stands."""
    names = [hub.name for hub in frame.hubs]
    first = len(frame.level(1))
    stages = [stage_of(made, names[:count]) for count in range(first, len(names) + 1)]
    return [stage for stage in stages if not isinstance(factored(stage), Unstable)]


def _weight_utilisation(stage):
    return response(factored(stage), loads.weight(stage)).arm_utilisation.max()


def test_the_sequence_of_frequency_3_against_another_library_and_the_floor():
    _, frame, made = _made(3, "4/9", level=True)
    stages = _stages(frame, made)
    ours = least_seconds(lambda: [_weight_utilisation(stage) for stage in stages])
    answers = []
    theirs = least_seconds(lambda: answers.extend(_theirs(stage) for stage in stages), repeats=1)
    assert [_weight_utilisation(stage) for stage in stages] == pytest.approx(answers, rel=0.01)
    floor = least_seconds(_bare_factorisation(stages[-1]), repeats=10)
    print(f"\n{len(stages)} stages of up to {len(frame.hubs)} hubs: ours {ours / len(stages) * 1e3:.2f} ms a stage")
    print(f"other library ÷ ours: {theirs / ours:.0f}")
    print(f"ours, one stage ÷ one sparse factorisation of the final frame: {ours / len(stages) / floor:.2f}")
    assert theirs > 20 * ours


def _theirs(stage):
    forces = pynite_frame.arm_forces(pynite_frame.rebuilt(stage), stage, stage.model.make.reach_mm)
    return (forces / stage.model.arm_capacity[stage.struts].reshape(forces.shape)).sum(axis=2).max()


def test_the_same_sequence_on_feet_that_press_and_never_pull():
    """Under its weight on springs of 1000 N/mm, held sideways; the same forces on the ground within 1 %."""
    _, frame, made = _made(3, "4/9", level=True)
    stages = [stage for stage in _stages(frame, made) if len(stage.hubs) % 5 == 0]
    ours_n, theirs_n = [], []
    ours = least_seconds(lambda: ours_n.extend(_pressed_n(frame, stage) for stage in stages), repeats=1)
    theirs = least_seconds(lambda: theirs_n.extend(_their_pressed_n(stage) for stage in stages), repeats=1)
    print(f"\n{len(stages)} stages on one-way feet: ours {ours / len(stages) * 1e3:.1f} ms a stage; other ÷ ours: "
          f"{theirs / ours:.0f}")
    for own, other in zip(ours_n, theirs_n, strict=True):
        assert own == pytest.approx(other, abs=0.01 * np.abs(other).max())
    assert theirs > 5 * ours


GROUND_N_MM = 1000.0


def _pressed_n(frame, stage):
    """(feet, 3) what each foot puts on the ground, by its number."""
    ready = factored(stage)
    first = response(ready, loads.weight(stage))
    names = [name for name in stage.names(stage.hubs) if frame.hub(name).on_ground]
    feet = feet_of(Solved(ready, first, ready, first), footing(names, friction=0.4))
    starts = starts_of(feet, [(1.0, GROUND_N_MM, HELD, -1)])
    return ground_forces(starts.springs, starts.states)[0][0]


def _their_pressed_n(stage):
    feet = np.flatnonzero(stage.fixed[:, 2]).tolist()
    twin = pynite_frame.rebuilt(stage, springs=dict.fromkeys(feet, GROUND_N_MM))
    found = np.array([[-GROUND_N_MM * getattr(twin.nodes[f"N{hub}"], axis)["Combo 1"] for axis in ("DX", "DY", "DZ")]
                      for hub in feet])
    return np.column_stack((found[:, :2], np.maximum(found[:, 2], 0.0)))


def _bare_factorisation(stage):
    """Sparse LU of the free degrees of freedom and one solve, matrices at hand."""
    ready = factored(stage)
    rows = ready.row[stage.ends].reshape(-1, 12)
    row, column = (np.broadcast_to(part, (len(rows), 12, 12)) for part in (rows[:, :, None], rows[:, None, :]))
    kept = (row >= 0) & (column >= 0)
    size = int(ready.row.max()) + 1
    matrix = coo_array((ready.strut_stiffness[kept], (row[kept], column[kept])), shape=(size, size)).tocsc()
    options = {"SymmetricMode": True}
    return lambda: splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options).solve(np.ones(size))


@pytest.mark.parametrize(("frequency", "cut"), [(3, "4/9"), (5, "8/15"), (8, "1/2"), (16, "1/2")])
def test_cost_of_a_stage_as_the_frame_grows(frequency, cut):
    """Ring stages: weight with its second order, pin-jointed twin, level, push limit of one hub, wind."""
    design, frame, made = _made(frequency, cut, level=False)
    tubes = tube_capacity(made, design)
    print(f"\nfrequency {frequency}: {len(frame.hubs)} hubs\n  hubs  struts  solved  twin  level  push  wind  [ms]")
    for upto in range(2, frame.level_count + 1, max(1, frame.level_count // 5)):
        hubs = [hub.name for hub in frame.hubs if hub.level <= upto]
        stage = stage_of(made, hubs)
        answer = solved(stage)
        if isinstance(answer, Unstable):
            print(f"{len(hubs):6} {len(stage.struts):7}  {in_words(answer.said)}")
            continue
        assert weight_utilisation(answer).utilisation < 10.0
        cost = [least_seconds(work, 2) * 1e3 for work in (
            lambda stage=stage: solved(replace(stage, model=replace(stage.model))),  # else it is factored already
            lambda answer=answer: lag_limit(answer, np.flatnonzero(answer.stage.fixed[:, 2]), tubes),
            lambda answer=answer, hubs=hubs: push_limits(answer, tubes, hubs[-1:]),
            lambda answer=answer: wind_limit(answer, tubes))]
        print(f"{len(hubs):6} {len(stage.struts):7} " + " ".join(f"{ms:7.1f}" for ms in cost))
