"""How many pictures a second the picture that can be turned gives: 4,000 struts on a quarter of this machine's speed.

Run: python -m pytest -m bench -s tests/bench/bench_turning.py
"""

import json
import os
import shutil

import numpy as np
import pytest

from fieldapp.prints.pocket.scripts import TURNING, turning_script

pytestmark = pytest.mark.bench
CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run"]
AROUND, LEVELS, RADIUS_MM = 65, 21, 12_000.0
LEAST_PICTURES_A_SECOND = 10.0

PAGE = """<!doctype html><style>.drawing {{ width: 360px; height: 281px; --d-paper: #fff; --d-ink: #111;
--d-later: #767676; --d-far: #8a8a8a; --d-new: #00429b; --d-this: #9b0063 }}</style>
<div><canvas class="drawing"></canvas></div><script type="application/json" id="frame">{data}</script>
<script>{script}</script>"""
LAST = """
const shape = turning_shape.shapeOf(JSON.parse(document.getElementById("frame").textContent));
const of = Array.from({ length: shape.hubs.length + shape.struts.length }, (_, row) => "ssnl"[row % 4]);
const canvas = document.querySelector("canvas");
const words = { next: "next", hold: "hold", broken: "broken", front: "front mark" };
turning_canvas.turningOn(canvas, shape, { of, this: "S1", facing: "S1", hold: ["H40"], words }, { open() {} });
"""
TURN = """async (seconds) => {
  const canvas = document.querySelector("canvas");
  let [pictures, thin] = [0, 0];
  canvas.addEventListener("painted", (event) => { pictures += event.detail.quick; thin = event.detail.thin; });
  const touch = (type, x) => canvas.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: x, clientY: 90 }));
  canvas.setPointerCapture = () => {};
  touch("pointerdown", 10);
  const begin = performance.now();
  for (let x = 10; performance.now() - begin < 1000 * seconds; x += 3) {
    touch("pointermove", 10 + x % 300);
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  }
  return [pictures * 1000 / (performance.now() - begin), thin];
}"""


def lattice():
    """An invented dome of 65 hubs a ring and 21 rings, all between neighbours braced: 3,965 struts."""
    hubs = [(ring, k) for ring in range(LEVELS) for k in range(AROUND)]
    slope = np.array([ring for ring, _k in hubs]) / LEVELS * np.pi / 2
    turn = np.array([2 * np.pi * (k + ring / 2) / AROUND for ring, k in hubs])
    out = np.column_stack((-np.cos(slope) * np.sin(turn), -np.cos(slope) * np.cos(turn), np.sin(slope)))
    at, row = out * RADIUS_MM, {hub: number for number, hub in enumerate(hubs)}
    ends = [(row[ring, k], row[other]) for ring, k in hubs
            for other in ((ring, (k + 1) % AROUND), (ring + 1, k), (ring + 1, (k - 1) % AROUND)) if other in row]
    return {"hubs": [f"H{n + 1}" for n in range(len(hubs))], "struts": [f"S{n + 1}" for n in range(len(ends))],
            "at": at.round().ravel().tolist(), "out": (1000 * out).round().ravel().tolist(),
            "ends": [end for pair in ends for end in pair], "centre": [0, 0, RADIUS_MM / 2], "wide": RADIUS_MM,
            "ground": RADIUS_MM, "radius": RADIUS_MM, "height": RADIUS_MM}


@pytest.mark.skipif(not CHROMIUM, reason="no Chromium here: install it or set CHROMIUM to its path")
@pytest.mark.parametrize("slower", [1, 4])
def test_pictures_a_second(tmp_path, slower):
    from playwright.sync_api import sync_playwright  # only here, so that collecting needs no browser

    data, last = lattice(), tmp_path / "last.js"
    last.write_text(LAST, encoding="utf-8")
    page_file = tmp_path / "page.html"
    page_file.write_text(PAGE.format(data=json.dumps(data), script=turning_script(last)), encoding="utf-8")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_context(viewport={"width": 360, "height": 740}, device_scale_factor=2).new_page()
        page.goto(page_file.as_uri())
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
        pictures, thin = page.evaluate(TURN, 4)
        browser.close()
    print(f"\n{len(data['struts'])} struts, {len(TURNING)} modules, 1/{slower} of the speed: {pictures:.1f} pictures a "
          f"second, thinned to {thin}")
    assert pictures >= LEAST_PICTURES_A_SECOND
