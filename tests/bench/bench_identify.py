"""How often measured heaps are told right: 200 random kits, of a seed that nothing was tuned on.

Run: python -m pytest -m bench -s tests/bench/bench_identify.py
"""

import time
from collections import Counter

import numpy as np
import pytest
from measured_heaps import a_kit, same

from fieldapp.identify.rank import identify

pytestmark = pytest.mark.bench
KITS, SEED = 200, 52806417


def _told(number):
    """What one kit gave: answer, right or not, easy or not, both intervals, error of a diameter once one was taped."""
    known, radius, take_up, (error, missing, _foreign), heap = a_kit(np.random.default_rng([SEED, number]))
    begin = time.process_time()
    found = identify(heap)
    best = found.matches[0] if found.matches else None
    right = best is not None and same(best.known, known)
    taken = right and found.sure != "unknown"
    return {
        "answer": (found.sure, right), "easy": error <= 3 and missing <= 0.1, "s": time.process_time() - begin,
        "diameter": best.diameter_mm[0] <= 2 * radius <= best.diameter_mm[1] if taken else None,
        "take_up": best.take_up_mm[0] <= take_up <= best.take_up_mm[1] if taken else None,
        "off": abs(2 * best.fit.radius_mm - 2 * radius) if taken and (heap.span or heap.height) else None}


def _share(told, name):
    values = [each[name] for each in told if each[name] is not None]
    return sum(values) / len(values)


@pytest.mark.timeout(1500)
def test_two_hundred_kits():
    told = [_told(number) for number in range(KITS)]
    answers = Counter(each["answer"] for each in told)
    off = np.array([each["off"] for each in told if each["off"] is not None])
    easy = [each["answer"][0] == "unknown" for each in told if each["easy"]]
    print(f"\n{dict(answers)}\ndiameter in its interval {_share(told, 'diameter'):.3f}, take-up "
          f"{_share(told, 'take_up'):.3f}\nunknown of the easy {sum(easy)} of {len(easy)}\ntaped diameters "
          f"within 10 mm: {(off <= 10).mean():.3f} of {len(off)}, worst {off.max():.1f} mm\nprocessor time: mean "
          f"{np.mean([each['s'] for each in told]):.2f} s, most {max(each['s'] for each in told):.2f} s")
    wrong = sum(count for (sure, right), count in answers.items() if sure != "unknown" and not right)
    assert answers["sure", False] == 0
    assert wrong <= 0.05 * KITS
    assert _share(told, "diameter") >= 0.95
    assert _share(told, "take_up") >= 0.95
    assert sum(easy) <= 0.15 * len(easy)
    assert (off <= 10).mean() >= 0.95
