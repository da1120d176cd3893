"""Building a frame against finding the triangles of the same hubs with Qhull, and how cost grows, in one run.

Run with `pytest -m bench -s tests/bench/bench_frame.py`.
"""

from time import perf_counter

import pytest
from scipy.spatial import ConvexHull

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection

pytestmark = pytest.mark.bench
SHAPES = [(3, "5/9"), (5, "8/15"), (8, "5/8"), (9, "14/27"), (16, "1/2"), (16, "25/48"), (16, "full")]


def least_seconds(work, repeats=5):
    """The least of several runs: what it costs when nothing else is in the way."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def test_frames_against_a_bare_convex_hull():
    print("\nfrequency cut     struts   ratio to Qhull   µs a strut")
    for frequency, cut in SHAPES:
        design = Design(frame=FrameSection(frequency=frequency, cut=cut, diameter_m=24.0))
        frame = build_frame(design)
        whole = least_seconds(lambda design=design: build_frame(design))
        hull = least_seconds(lambda frame=frame: ConvexHull(frame.nodes_mm))
        count = len(frame.struts)
        print(f"{frequency:9} {cut:6} {count:7} {whole / hull:16.1f} {whole / count * 1e6:12.1f}")
        assert whole < 200 * hull
