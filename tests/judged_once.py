"""Ways of raising that some test has judged already: all tests of a run, on all workers, judge each of them once.

Kept by all that a judgement depends on, in the run's own folder, so that every run computes each of them anew.
`judge.__wrapped__` is the judge itself. Measurements have no such folder.
"""

import hashlib
import pickle
from functools import wraps

from filelock import SoftFileLock

import fieldapp.plan.compare
import fieldapp.plan.judge
from fieldapp.plan import bounds
from fieldapp.plan.telling import tell

_judge = fieldapp.plan.judge.judge
_folders = []
NO_STATICS = {"raising": {"way", "own_order", "accept_breaking"}, "frame": {"name", "prefix"}, "spares": True,
              "labels": True, "site": True}
"""Answers of a design that no judgement looks at: the plan is asked about besides."""


@wraps(_judge)
def _judged(case, plan, **how):
    """As the judge, who looks into the folder first; it is told how far that is all the same."""
    if not _folders:
        return _judge(case, plan, **how)
    kept = _folders[-1] / _question(case, plan, how)
    with SoftFileLock(f"{kept}.lock"):         # of its own kind: tests let the other fail
        if kept.exists():
            for number in range(1, len(plan.steps) + 1):
                tell(plan.way, number, len(plan.steps))
            return pickle.loads(kept.read_bytes())
        found = _judge(case, plan, **how)
        kept.write_bytes(pickle.dumps(found))
        return found


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


def keep_in(folder):
    """From now on, in this folder."""
    _folders.append(folder)
