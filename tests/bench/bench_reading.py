"""How well the labels of a whole kit are read under bad light, by kind and level of error correction.

Run with `pytest -m bench -s tests/bench/bench_reading.py`; prints the tables by which size and level are chosen.

Found over the labels of an f=3 kit: in grey at 150 dpi and with blur and noise at 200 dpi every label is read, as it is
under glare and out of focus. Dirt on 1 % of the label costs 13 to 18 of a hundred at level M and as many at Q, whose
modules are a tenth smaller on the same label (spots on a corner of the symbol defeat any level), and none where four
symbols go round a strip: so M is the usual level, and a second symbol is worth more than more repair data.
"""

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.prints.sheets import KINDS
from fieldapp.prints.sheets.label_kinds import kind_sheets
from labels import around, curve, wrap
from labels.curve import MOST_ARC_DEG
from labels.pieces import SymbolMark
from labels.sheet import COMPOSERS

_spec = importlib.util.spec_from_file_location("photos", Path(__file__).parents[1] / "labels" / "photos.py")
photos = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(photos)

SEED = 11
MOST = 120
"""Labels of a kind in the conditions that no standard asks all of."""
ARCS_DEG = (40, 50, 60, 70, 75, 80)
TURNED_DEG = (0, 3, 6, 9, 12)
TRIES = 12


def labels_of(kit, kind):
    sheets, stock = kind_sheets(kit, kind)
    found = [p.label for sheet in sheets for p in sheet.labels if p.label.symbol_text]
    order = np.random.default_rng(SEED).permutation(len(found))
    return [found[index] for index in order], (stock.label_width_mm, stock.label_height_mm)


def module_mm(composition):
    return next(p.module_mm for p in composition.pieces if isinstance(p, SymbolMark))


def rate(labels, compositions, condition):
    rng, read = np.random.default_rng(SEED), 0
    for label, composition in zip(labels, compositions, strict=True):
        texts = photos.texts_in(photos.CONDITIONS[condition](composition, rng))
        assert texts <= {label.symbol_text}
        read += bool(texts)
    return read / len(labels)


@pytest.mark.bench
@pytest.mark.timeout(1200)
def test_rates_by_kind_and_level():
    kit = build_kit(orchard_hall())
    always = list(photos.CONDITIONS)[:2]
    print(f"\n{'kind':<10} level module labels  {'  '.join(photos.CONDITIONS)}")
    for kind in KINDS:
        labels, size = labels_of(kit, kind)
        for level in ("M", "Q"):
            made = [COMPOSERS[label.form](label, size, level=level) for label in labels]
            rates = {name: rate(labels, made, name) if level == "M" and name in always
                     else rate(labels[:MOST], made[:MOST], name) for name in photos.CONDITIONS}
            print(f"{kind:<10} {level:>5} {module_mm(made[0]):>6.2f} {len(labels):>6}  "
                  + "  ".join(f"{share:>{len(name)}.0%}" for name, share in rates.items()), flush=True)
            assert level == "Q" or all(rates[name] == 1.0 for name in always)


@pytest.mark.bench
@pytest.mark.parametrize("kind", ["part", "wrap"])
def test_rates_on_the_poles_of_the_kit(kind):
    """Labels of struts on the 35 mm poles of Orchard Hall, each turned by chance within 9°."""
    kit, rng, read = build_kit(orchard_hall()), np.random.default_rng(SEED), 0
    labels, size = labels_of(kit, kind)
    struts = [label for label in labels if label.tube_mm][:MOST]
    for label in struts:
        made = COMPOSERS[label.form](label, size)
        mark = next(p for p in made.pieces if isinstance(p, SymbolMark))
        picture = photos.tube_picture(made, mark, label.tube_mm, rng, turned_deg=rng.uniform(-9, 9))
        texts = photos.texts_in(picture)
        assert texts <= {label.symbol_text}
        read += bool(texts)
    print(f"\n{kind} on poles of {label.tube_mm:g} mm: {read} of {len(struts)} read")
    assert read == len(struts)


@pytest.mark.bench
@pytest.mark.parametrize("tube_mm", [35.0, 100.0])
def test_rates_round_tubes(tube_mm, monkeypatch):
    """Which angle a symbol may span: rates by that angle and by how far the tube is turned."""
    kit = build_kit(orchard_hall())
    label = replace(labels_of(kit, "wrap")[0][0], tube_mm=tube_mm)
    print(f"\ntube {tube_mm:g} mm; turned by  " + "  ".join(f"{turned:>3}°" for turned in TURNED_DEG))
    monkeypatch.setattr(curve, "LEAST_MODULE_MM", 0.1)
    monkeypatch.setattr(around, "LEAST_MODULE_MM", 0.1)
    for arc_deg in ARCS_DEG:
        monkeypatch.setattr(curve, "AIM_ARC_DEG", arc_deg)
        monkeypatch.setattr(curve, "MOST_ARC_DEG", 90)
        strip = wrap.compose_wrap(label, (4 * tube_mm, np.pi * tube_mm + 12.0))
        mark = next(p for p in strip.pieces if isinstance(p, SymbolMark))
        rates = [tube_rate(strip, mark, tube_mm, turned) for turned in TURNED_DEG]
        print(f"{arc_deg:>4}°  module {mark.module_mm:.2f} mm       " + "  ".join(f"{r:>4.0%}" for r in rates),
              flush=True)
        assert arc_deg > MOST_ARC_DEG or rates[0] == 1.0


@pytest.mark.bench
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("tube_mm", [25.0, 29.0, 35.0, 60.0, 100.0])
def test_a_walk_round_the_pole(tube_mm):
    """Share of directions, in steps of 3°, from which the decoder reads a strip in its plain passes; and which not."""
    label = replace(labels_of(build_kit(orchard_hall()), "wrap")[0][0], tube_mm=tube_mm)
    made = wrap.compose_wrap(label, (90.0, np.pi * tube_mm + 14.0))
    marks = [p for p in made.pieces if isinstance(p, SymbolMark)]
    directions = range(0, 360, 3)
    seen = photos.walk(made, marks, tube_mm, np.random.default_rng(SEED), directions)
    missed = [way for way, texts in zip(directions, seen, strict=True) if texts != {label.symbol_text}]
    print(f"\npole of {tube_mm:g} mm, {len(marks)} symbols: read from {1 - len(missed) / len(directions):.0%}; "
          f"not from {missed}", flush=True)
    in_a_row = [way for way in missed if (way + 3) % 360 in missed]
    assert tube_mm < 29.0 or not in_a_row           # what is missed is read a step farther on
    assert tube_mm < 29.0 or len(missed) <= 0.05 * len(directions)


def tube_rate(strip, mark, tube_mm, turned_deg):
    """Share of pictures read with the tube turned by just this angle to either side."""
    rng, read = np.random.default_rng(SEED), 0
    for index in range(TRIES):
        picture = photos.tube_picture(strip, mark, tube_mm, rng, turned_deg=turned_deg * (-1) ** index)
        texts = photos.texts_in(picture)
        assert texts <= {mark.symbol.text}
        read += bool(texts)
    return read / TRIES
