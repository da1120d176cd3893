"""A tower of two sections and a space grid, from their files to paper, pages, a raise by cards, an exchange, a strike.

The tower's first steps on a phone run every time, the rest in the bench. Both files were drawn from plain formulas by
somebody who had not read the code.
"""

import html
import re
import shutil
from datetime import timedelta
from itertools import count
from pathlib import Path
from time import monotonic, sleep

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from fieldapp.cli import main
from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit
from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import erection_plan, level_order
from fieldapp.web.server import create_app
from tests.at_the_laptop import at_the_laptop
from tests.journey.test_by_step_cards import MORNING, Phone

ORIGIN = {"Origin": "http://localhost"}
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


SPARES = """
[spares]
hubs_each_other = 1
hubs_most_common = 1
struts_each = 1
"""
NOT_OF_IT = re.compile(r"\b(?:rings?|crown|outside)\b", re.IGNORECASE)


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


def _seen(page):
    """Its words, without pictures and scripts."""
    page = re.sub(r"<svg.*?</svg>|<head>.*?</head>|<script.*?</script>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def _press(client, at, words):
    """The button of a page that says so, with what its form holds."""
    page = client.get(at).text
    forms = re.findall(r'<form method="post" action="([^"]+)"[^>]*>(.*?)</form>', page, re.DOTALL)
    to, form = next((to, form) for to, form in forms if words in _seen(form))
    data = {name: html.unescape(value) for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}
    assert client.post(to, data={**data, "held": "yes"}, headers=ORIGIN).status_code == 303


def exchanged(client, book, place):
    """A strut buckles and is exchanged act by act, as its pages say."""
    at, first = f"/exchange/{place}", book.state.fitted[place]
    told = client.post(f"/damage/{first}", data={
        "what": "buckled", "where": "1", "severity": "bad", "key": f"damage-at-place-{place}"},
                       content_type="multipart/form-data", headers=ORIGIN)
    until = monotonic() + 300
    while "Working out how" in _seen(client.get(told.location).text) and monotonic() < until:
        sleep(0.5)
    assert f"{place} can be exchanged while the frame stands." in _seen(client.get(told.location).text)
    _press(client, at, "Begin")
    takes = book.state.exchanging.takes
    for out in takes:
        _press(client, at, f"{book.state.fitted[out].split('-')[1]} is out")
    spare = re.search(r'name="part" value="([^"]+)"', client.get(at).text)[1]
    client.post(f"/other/{place}", data={"key": f"another-part-at-{place}", "part": spare}, headers=ORIGIN)
    for back in reversed(takes):
        _press(client, at, f"is in at {back}")
    _press(client, at, "It is over")
    assert book.state.fitted[place] == spare != first


def turning(client, kit):
    """The picture that turns has all of it."""
    numbers = client.get(re.search(r'data-address="([^"]+)"', client.get("/place/H01").text)[1]).json
    assert (len(numbers["hubs"]), len(numbers["ends"])) == (len(kit.frame.hubs), 2 * len(kit.frame.struts))


def forgives(client):
    """What the whole frame forgives, once all of it is worked out."""
    until = monotonic() + 500
    while client.get("/forgives.pdf").status_code != 200 and monotonic() < until:
        sleep(0.5)
    told = _seen(client.get("/forgives").text)
    for question in ("Somebody hangs from it", "A ladder leans on it", "A strut is lost", "A hub is lost"):
        assert question in told
    assert not NOT_OF_IT.search(told)


def test_a_tower_on_the_phone_from_the_first_hub_to_its_second_level(tmp_path):
    shutil.copy(DRAWN / "tower-posts.csv", tmp_path)
    (tmp_path / "design.toml").write_text(TOWER)
    kit, seconds = build_kit(read_design(tmp_path / "design.toml")), count(step=7)
    plan = level_order(kit.frame, kit.design)
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite") as book:
        phone = Phone(at_the_laptop(create_app(book, clock=lambda: MORNING + timedelta(seconds=next(seconds)))))
        for _step in plan.steps[:4]:
            phone.peg()
            phone.do(phone.client.get("/step").location)
        turning(phone.client, kit)
        part = kit.by_place["S001"].id
        card = phone.client.get("/step").location
        for at in ("/", "/find", "/ring/2", "/place/H05", "/place/S001", f"/p/{part}", card):
            assert not NOT_OF_IT.search(_seen(phone.client.get(at).text)), at
        assert "tube of" in _seen(phone.client.get(f"/p/{part}").text)


@pytest.mark.bench
@pytest.mark.timeout(900)
@pytest.mark.parametrize(("answers", "hubs", "struts"), [(TOWER, 16, 39), (GRID, 41, 128)], ids=["tower", "grid"])
def test_a_strangers_shape_goes_up_and_comes_down(tmp_path, answers, hubs, struts):
    told = _made(tmp_path, answers + SPARES)
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
            assert not NOT_OF_IT.search(_seen(page)), at
        steps = book.site.plan.steps
        for _step in steps:
            phone.peg()
            phone.do(phone.client.get("/step").location)
        assert len(book.state.fitted) == hubs + struts
        assert not any(entry.data.get("waits_for") for entry in book.state.entries)
        exchanged(phone.client, book, kit.frame.struts[struts // 2].name)
        turning(phone.client, kit)
        forgives(phone.client)
        phone.client.post("/raise/strike", data={"key": "strike-strike-strike"}, headers={"Origin": "http://localhost"})
        for _step in steps:
            phone.do(phone.client.get("/step").location)
        assert not book.state.fitted
