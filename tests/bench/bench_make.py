"""Kit and labels of f=3 5/9 and f=8 5/8, as ratios to the encoder alone making the same symbols in the same run.

    python -m pytest -m bench -s tests/bench/bench_make.py
"""

import time

import pytest
import segno

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.cutting import cutting_plan
from fieldapp.prints.sheets.label_kinds import write_kind
from fieldapp.prints.sheets.labels import symbol_text

pytestmark = pytest.mark.bench


def _seconds(work):
    began = time.process_time()
    result = work()
    return result, time.process_time() - began


def _encoder_alone(kit):
    for part in kit.parts:
        for end in (1, 2) if part.kind == "strut" else (None,):
            segno.make_qr(symbol_text(kit.design, part, end), error="m", boost_error=False)


@pytest.mark.parametrize(("frequency", "cut"), [(3, "5/9"), (8, "5/8")])
def test_make_against_the_encoder_alone(tmp_path, frequency, cut):
    demo = orchard_hall()
    size = {"frequency": frequency, "cut": cut, "diameter_m": 2.2 * frequency}
    design = demo.model_copy(update={"frame": demo.frame.model_copy(update=size)})
    kit, kit_s = _seconds(lambda: build_kit(design))
    _, cut_s = _seconds(lambda: cutting_plan(kit))
    _, labels_s = _seconds(lambda: write_kind(kit, tmp_path / "labels.pdf", "part"))
    _, limit_s = _seconds(lambda: _encoder_alone(kit))
    print(f"\nf={frequency} {cut}, {len(kit.parts)} parts, encoder alone {limit_s:.2f} s: "
          f"kit {kit_s / limit_s:.2f}, cutting {cut_s / limit_s:.2f}, labels {labels_s / limit_s:.2f} of it")
    assert kit_s < limit_s
    assert labels_s < 3 * limit_s
