"""How many hard photos, and how many ordinary ones, are read: by kind, beside one plain pass and beside the bound.

Run with `pytest -m bench -s tests/bench/bench_photos.py`. The bound is what the same decoder reads of symbols that are
cropped and flattened perfectly, with 4 or with 6 pixels a module. The sets, their ranges and their seed stand in
`tests/photos/hard_set.py`; passes were tuned on another seed.
"""

from collections import Counter
from io import BytesIO
from statistics import median
from time import process_time

import pytest
import zxingcpp
from photos import hard_set
from PIL import Image

from fieldapp.photos.unpack import symbols_in

BOUND_PX = (4, 6)


def decoded(grey):
    """Texts of one plain pass."""
    found = zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormat.QRCode, try_invert=False)
    return {code.text for code in found if code.format == zxingcpp.BarcodeFormat.QRCode}


@pytest.mark.bench
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("name", ["HARD", "EASY"])
def test_rates_beside_the_plain_pass_and_the_bound(name):
    read, times_ms, wrong = Counter(), [], []
    for photo in hard_set.photos(getattr(hard_set, name)):
        before = process_time()
        texts = symbols_in(photo.jpeg).texts
        times_ms.append(1000 * (process_time() - before))
        wrong += [text for text in texts if text != photo.text]
        plain = decoded(Image.open(BytesIO(photo.jpeg)).convert("L"))
        bound = name == "EASY" or any(decoded(hard_set.flattened(photo, px)) for px in BOUND_PX)
        read.update({(photo.kind, "photos"): 1, (photo.kind, "plain"): bool(plain), (photo.kind, "ours"): bool(texts),
                     (photo.kind, "bound"): bound})
    table(name, read, times_ms, wrong)
    assert not wrong
    sums = {what: sum(read[kind, what] for kind, which in read if which == what) for what in ("plain", "ours")}
    assert sums["ours"] >= sums["plain"]


def table(name, read, times_ms, wrong):
    """One line a kind, then all of them."""
    columns = ("photos", "plain", "ours", "bound")
    kinds = list(dict.fromkeys(kind for kind, _ in read))
    print(f"\n{name:<24}" + "".join(f"{column:>8}" for column in columns))
    for kind in kinds:
        print(f"{kind:<24}" + "".join(f"{read[kind, column]:>8}" for column in columns))
    totals = [sum(read[kind, column] for kind in kinds) for column in columns]
    print(f"{'all':<24}" + "".join(f"{total:>8}" for total in totals))
    print(f"{'share':<24}" + "".join(f"{total / totals[0]:>8.1%}" for total in totals))
    print(f"wrong {len(wrong)}; median {median(times_ms):.0f} ms, nine of ten "
          f"{sorted(times_ms)[len(times_ms) * 9 // 10]:.0f} ms of processor time a photo", flush=True)
