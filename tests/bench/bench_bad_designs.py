"""Designs that no maker would write: every number at both of its bounds, and worse, made by the command itself.

    python -m pytest -m bench -s tests/bench/bench_bad_designs.py

Each ends in words and in seconds; where it is refused, the folder holds what it held. Short versions run with every
test: tests/frame/test_bad_files.py, tests/frame/test_reason.py, tests/kit/test_make.py.
"""

import re
import time

import pytest
from annotated_types import Ge, Gt, Le
from click.testing import CliRunner

from fieldapp.cli import main
from fieldapp.frame.design_file import SECTIONS
from fieldapp.frame.template import STARTER, design_text

pytestmark = [pytest.mark.bench, pytest.mark.timeout(600)]

WITHIN_S = 60.0
"""Of processor time: what else runs does not count."""
LARGE = {"frame.frequency"}
"""At its upper bound a frame of thousands of struts, which takes its time."""
WORSE = [("hub.arm_depth_mm", "1e-300"), ("hub.ply_mm", "1e-9"), ("strut.outer_mm", "9" * 5000),
         ("hub.test_loads_n", "[300.0, 1e300]"), ("hub.test_loads_n", "[1e-300]"), ("labels.printer_dpi", "72"),
         ("raising.leave_out", str([f"H{n:02d}" for n in range(1, 27)]).replace("'", '"')),
         ("raising.leave_out", str([f"H{n:02d}" for n in range(2, 27)]).replace("'", '"')),
         ("raising.own_order", "[" * 900 + "]" * 900), ("frame.name", '"\\u202ex"'), ("frame.diameter_m", "nan"),
         ("labels.label_width_mm", "10.0"), ("labels.tag_width_mm", "190.0"), ("strut.stock_mm", "1e300")]


def cases():
    """(key, value as it stands in the file)."""
    yield from WORSE
    for section, record in SECTIONS.items():
        for name, info in record.model_fields.items():
            for limit in info.metadata:
                value = getattr(limit, "ge", None) if isinstance(limit, Ge) else getattr(limit, "le", None)
                if isinstance(limit, Gt):
                    value = limit.gt + 1e-9
                if value is not None and not (isinstance(limit, Le) and f"{section}.{name}" in LARGE):
                    yield f"{section}.{name}", repr(value)


def with_answer(key, value):
    """The first frame's design file with one other answer."""
    section, _, name = key.partition(".")
    head, mark, rest = design_text(STARTER).partition(f"[{section}]")
    line = re.compile(rf"^(?:# )?{name} = .*$", re.MULTILINE)
    changed, count = line.subn(lambda _found: f"{name} = {value}", rest, count=1)
    assert count == 1, key
    return head + mark + changed


@pytest.mark.parametrize(("key", "value"), list(cases()), ids=[f"{key} {value[:12]}" for key, value in cases()])
def test_a_design_ends_in_words_and_leaves_all_or_nothing(tmp_path, key, value):
    (tmp_path / "design.toml").write_text(with_answer(key, value), encoding="utf-8")
    began = time.process_time()
    done = CliRunner().invoke(main, ["make", str(tmp_path)])
    took, left = time.process_time() - began, {path.name for path in tmp_path.iterdir()}
    last = (done.stderr.strip().splitlines() or [""])[-1]
    print(f"\n{took:5.1f} s  {done.exit_code}  {key} = {value[:20]}: {last[:110]}", flush=True)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert took < WITHIN_S
    if done.exit_code:
        assert left == {"design.toml"}
        assert "raisebook: " in done.stderr
    else:
        assert {"kit.json", "paper", "tables"} <= left
