"""A file of 4,000 struts read, classed and drawn: processor time, for a regular vault and one without equal hubs.

Run: python -m pytest -m bench -s tests/bench/bench_drawn.py
"""

from time import process_time

import numpy as np
import pytest

from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.given.files import read_lines
from fieldapp.frame.vault import VaultSection, vault
from fieldapp.prints.terminal.drawn import drawn_lines

pytestmark = pytest.mark.bench
SIZE = VaultSection(width_m=20.0, height_m=9.0, length_m=50.0, arch_struts=24, bays=28)
MOST_S = 5.0


@pytest.mark.parametrize("off_mm", [0.0, 5.0])
def test_four_thousand_struts_are_read_classed_and_drawn(tmp_path, off_mm):
    shape, _ = vault(SIZE)
    off = np.random.default_rng(1).normal(0.0, off_mm, shape.nodes.shape) * ~shape.ground[:, None]
    points = [f"P{i},{x},{y},{z}" for i, (x, y, z) in enumerate(shape.nodes + off)]
    lines = [f"P{a},P{b}" for a, b in shape.struts]
    (tmp_path / "frame.csv").write_text("\n".join(("point,x,y,z", *points, "from,to", *lines)))
    start = process_time()
    given = read_lines(tmp_path / "frame.csv", unit="mm", up="z", weld_mm=1.0)
    list(drawn_lines(Design(frame=FrameSection(file="frame.csv"), given=given), tmp_path))
    took_s = process_time() - start
    print(f"\n{len(lines)} struts, hubs off by {off_mm:g} mm: {took_s:.2f} s of processor time")
    assert len(lines) >= 4000
    assert took_s < MOST_S
