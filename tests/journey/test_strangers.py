"""A tower of two sections and a space grid, from their files to paper, pages, a raise by cards and the strike.

Both files were drawn from plain formulas by somebody who had not read the code.
"""

import html
import re
import shutil
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from fieldapp.cli import main
from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import erection_plan
from fieldapp.web.server import create_app
from tests.at_the_laptop import at_the_laptop
from tests.journey.test_by_step_cards import MORNING, Phone

pytestmark = pytest.mark.bench
DRAWN = Path(__file__).parents[1] / "data" / "drawn"
BALLS = """
[hub]
joint = "ball node"
material = "S235"
reach_mm = 90
arm_depth_mm = 12
mass_kg = 0.8
angle_error_deg = 0.2
[crew]
platform_m = 3.0
"""
TOWER = """
[frame]
name = "Signal tower"
prefix = "ST"
file = "tower-posts.csv"
[drawing]
unit = "m"
up = "z"
seen_from = "front"
[strut]
section = "tube"
material = "S235"
outer_mm = 26.9
wall_mm = 2.3
stock_mm = 6000
length_error_mm = 0.3
[struts."post 42"]
section = "tube"
material = "S235"
outer_mm = 33.7
wall_mm = 2.6
""" + BALLS
GRID = """
[frame]
name = "Flat roof"
prefix = "FR"
file = "grid.csv"
[drawing]
unit = "m"
up = "z"
seen_from = "above"
[strut]
section = "tube"
material = "S235"
outer_mm = 33.7
wall_mm = 2.6
stock_mm = 6000
length_error_mm = 0.3
""" + BALLS


def _words(path):
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


def _made(folder, answers):
    """The folder after make, which wants to be looked at first."""
    name = re.search(r'file = "(.*?)"', answers)[1]
    shutil.copy(DRAWN / name, folder / name)
    (folder / "design.toml").write_text(answers)
    first = CliRunner().invoke(main, ["make", str(folder)])
    assert first.exit_code != 0
    assert "--looked-at" in first.output
    assert (folder / "frame.svg").exists()
    made = CliRunner().invoke(main, ["make", str(folder), "--looked-at"])
    assert made.exit_code == 0, made.output
    assert not re.search(r"\b(rings?|crown)\b", made.output.lower()), made.output
    return made.output


@pytest.mark.parametrize(("answers", "hubs", "struts"), [(TOWER, 16, 39), (GRID, 41, 128)], ids=["tower", "grid"])
def test_a_strangers_shape_goes_up_and_comes_down(tmp_path, answers, hubs, struts):
    told = _made(tmp_path, answers)
    booklet = _words(tmp_path / "paper" / "booklet.pdf")
    assert "Parts by level" in booklet
    assert not re.search(r"\b(rings?|crown)\b", booklet.lower())
    kit, seconds = read_kit(tmp_path), count(step=7)
    assert (len(kit.frame.hubs), len(kit.frame.struts)) == (hubs, struts)
    if kit.design.struts:
        assert "Stock of post 42: " in told
        assert "tube of 33.7 × 2.6 mm, S235" in booklet
        cut_list = _words(tmp_path / "paper" / "cut-list.pdf")
        assert "post 42: S235 tube, 33.7 × 2.6 mm. Buy" in cut_list
    with SiteBook.open(kit, erection_plan(kit), tmp_path / "log.sqlite") as book:
        app = at_the_laptop(create_app(book, clock=lambda: MORNING + timedelta(seconds=next(seconds))))
        phone = Phone(app)
        for at in ("/", "/find", "/ring/1", "/place/H01", "/place/S001", f"/p/{kit.by_place['S001'].id}"):
            page = html.unescape(phone.client.get(at).text)
            assert not re.findall(r">[^<]*\b(?:rings?|crown)\b[^<]*<", page), at
        steps = book.site.plan.steps
        for _step in steps:
            phone.peg()
            phone.do(phone.client.get("/step").location)
        assert len(book.state.fitted) == hubs + struts
        assert not any(entry.data.get("waits_for") for entry in book.state.entries)
        phone.client.post("/raise/strike", data={"key": "strike-strike-strike"}, headers={"Origin": "http://localhost"})
        for _step in steps:
            phone.do(phone.client.get("/step").location)
        assert not book.state.fitted
