"""Ways of raising that some test has judged already: all tests of a run, on all workers, judge each of them once.

The same of what a whole plan asks of sound parts. Kept by all that an answer depends on, in the run's own folder, so
that every run computes each of them anew. `judge.__wrapped__` is the judge itself. Measurements have no such folder.
"""

import hashlib
import pickle
from functools import wraps

from filelock import SoftFileLock

import fieldapp.plan.compare
import fieldapp.plan.judge
import fieldapp.reports.readiness
import fieldapp.reports.standing.demand
from fieldapp.base.remembered import remembered
from fieldapp.plan import bounds
from fieldapp.plan.telling import tell

_judge = fieldapp.plan.judge.judge
_demand = fieldapp.reports.standing.demand.sound_demand.__wrapped__
_folders = []
NO_STATICS = {"raising": {"way", "own_order", "accept_breaking"}, "frame": {"name", "prefix"}, "spares": True,
              "labels": True, "site": True}
"""Answers of a design that no judgement looks at: the plan is asked about besides."""


def _found(question, answer):
    """The answer that some worker has kept, and whether it had to be worked out now."""
    kept = _folders[-1] / question
    with SoftFileLock(f"{kept}.lock"):         # of its own kind: tests let the other fail
        if kept.exists():
            return pickle.loads(kept.read_bytes()), False
        found = answer()
        kept.write_bytes(pickle.dumps(found))
        return found, True


@wraps(_judge)
def _judged(case, plan, **how):
    """As the judge, who looks into the folder first; it is told how far that is all the same."""
    if not _folders:
        return _judge(case, plan, **how)
    found, new = _found(_question(case, plan, how), lambda: _judge(case, plan, **how))
    if not new:
        for number in range(1, len(plan.steps) + 1):
            tell(plan.way, number, len(plan.steps))
    return found


@remembered(4, by=lambda kit, plan: (kit.design, plan))
@wraps(_demand)
def _demanded(kit, plan):
    """Asked of every page on readiness."""
    if not _folders:
        return _demand(kit, plan)
    asked = "".join((kit.design.model_dump_json(), *map(repr, (sorted(bounds.SOURCES), plan))))
    return _found(f"demand {hashlib.sha256(asked.encode()).hexdigest()}", lambda: _demand(kit, plan))[0]


def _question(case, plan, how):
    """Design but for the choice of a way and what is only printed, what is left of arms and tubes, and every step."""
    digest = hashlib.sha256()
    for part in (case.design.model_dump_json(exclude=NO_STATICS), *map(repr, (
            sorted(bounds.SOURCES), sorted(case.arms_gone), case.off_mm, case.tubes, plan, how))):
        digest.update(part.encode())
    for array in (case.frame.nodes_mm, case.model.arm_capacity, case.model.hub_weight_n, case.tubes.compression_n,
                  case.tubes.critical_n):
        digest.update(array.tobytes())
    return digest.hexdigest()


def share():
    """For all test modules that are read from now on."""
    fieldapp.plan.judge.judge = fieldapp.plan.compare.judge = _judged
    fieldapp.reports.readiness.sound_demand = fieldapp.reports.standing.demand.sound_demand = _demanded


def keep_in(folder):
    """From now on, in this folder."""
    _folders.append(folder)
