"""A vault from a file: make only after a look, paper and pages without rings, a raise by cards, a break."""

import html
import re

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from fieldapp.cli import main
from fieldapp.frame.design import Design
from fieldapp.frame.template import STARTER, design_text
from fieldapp.frame.vault import VaultSection, vault
from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import erection_plan
from fieldapp.web.server import create_app
from tests.at_the_laptop import at_the_laptop
from tests.journey.test_by_step_cards import Phone
from tests.journey.test_strangers import exchanged, forgives, turning

pytestmark = [pytest.mark.bench, pytest.mark.timeout(900)]
SIZE = VaultSection(width_m=2.4, height_m=1.2, length_m=2.4, arch_struts=4, bays=2)


def _folder(folder):
    """The file as somebody would draw it, and the design beside it."""
    shape, _ = vault(SIZE)
    points = [f"P{i},{x},{y},{z}" for i, (x, y, z) in enumerate(shape.nodes)]
    (folder / "frame.csv").write_text("\n".join(("point,x,y,z", *points, "from,to",
                                                 *(f"P{a},P{b}" for a, b in shape.struts))))
    design = Design.model_validate({**STARTER.model_dump(exclude={"given"}), "frame": {
        "name": "Garden vault", "prefix": "GV", "file": "frame.csv"}, "drawing": {"unit": "mm", "up": "z"}})
    design = design.model_copy(update={
        "strut": design.strut.model_copy(update={"outer_mm": 38.0}),
        "hub": design.hub.model_copy(update={"reach_mm": 125.0, "ply_mm": 5.0, "arm_depth_mm": 54.0,
                                             "mass_kg": 0.6}),
        "raising": design.raising.model_copy(update={"way": "bay by bay"}),
        "spares": design.spares.model_copy(update={"struts_each": 1})})
    (folder / "design.toml").write_text(design_text(design))
    return folder


def _words(path):
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


def test_a_vault_from_its_file_to_paper_and_pages(tmp_path):
    folder = _folder(tmp_path)
    first = CliRunner().invoke(main, ["make", str(folder)])
    assert first.exit_code != 0
    assert "--looked-at" in first.output
    made = CliRunner().invoke(main, ["make", str(folder), "--looked-at"])
    assert made.exit_code == 0, made.output
    assert "Raising: bay by bay, 23 steps" in made.output
    booklet = _words(folder / "paper" / "booklet.pdf")
    assert "Parts by level" in booklet
    assert "bay 1 · steps 1 to 2 of 23" in booklet
    assert "stack it by level" in booklet
    assert not re.search(r"\b(ring|rings|crown)\b", booklet, re.IGNORECASE), "it has neither"
    kit = read_kit(folder)
    with SiteBook.open(kit, erection_plan(kit), folder / "log.sqlite") as book:
        client = at_the_laptop(create_app(book)).test_client()
        start = html.unescape(client.get("/").text)
        assert "Walk through the levels" in start
        pages = [client.get(at).text for at in ("/", "/find", "/ring/1", "/place/H01", "/place/S001")]
        assert not [word for page in pages for word in re.findall(r">[^<]*\b(?:rings?|crown)\b[^<]*<", page)]
        phone = Phone(client.application)
        for _step in book.site.plan.steps:
            phone.peg()
            phone.do(phone.client.get("/step").location)
        assert len(book.state.fitted) == len(kit.frame.hubs) + len(kit.frame.struts)
        exchanged(client, book, kit.frame.struts[len(kit.frame.struts) // 2].name)
        turning(client, kit)
        forgives(client)
        told = client.post(f"/damage/{book.state.fitted['H12']}", data={
            "what": "arm_snapped", "where": "2", "severity": "bad", "key": "damage-of-the-vault"},
            content_type="multipart/form-data", headers={"Origin": "http://localhost"})
        answer = html.unescape(client.get(told.location).text)
        assert "H12 can be exchanged while the frame stands" in answer
