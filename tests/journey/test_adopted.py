"""Old poles from a shed: measured, identified, adopted; raised on somebody's word; known once some were broken."""

import html
import re
from datetime import UTC, datetime

import pypdfium2
import pytest
from at_the_laptop import at_the_laptop
from click.testing import CliRunner
from old_poles import old_design, old_heap_text

from fieldapp.adopt.adoption import adoption
from fieldapp.adopt.folder import _write_log
from fieldapp.cli import main
from fieldapp.frame.template import design_text
from fieldapp.identify.heap_file import read_heap
from fieldapp.kit.checklist_defaults import default_checks, write_checks
from fieldapp.kit.file import kit_text, read_kit
from fieldapp.log.opening import open_book
from fieldapp.log.rules import Finding
from fieldapp.statics.untested import untested_said
from fieldapp.web.server import create_app

ORIGIN = {"Origin": "http://localhost"}


class Pages:
    """A phone that is the chief's: it reads and presses."""

    def __init__(self, book):
        self.client = at_the_laptop(create_app(book)).test_client()
        book.judge_starts(lambda site, _state, _now: tuple(
            Finding(said) for said in (untested_said(site.kit.design),) if said))      # all of it: the bench below

    def words(self, at):
        """Its words without pictures."""
        page = self.client.get(at, follow_redirects=True).text
        page = re.sub(r"<svg.*?</svg>|<head>.*?</head>", " ", page, flags=re.DOTALL)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())

    def press(self, page, act, **fields):
        """A button of a page."""
        key = re.search(r'name="key" value="([^"]+)"', self.client.get(page).text)[1]
        return self.client.post(act, data={"key": key, **fields}, headers=ORIGIN)

    def send(self, kind, part=None, **data):
        """An entry as programs send it."""
        key = f"key-of-{kind}-{part or 'the kit'}"
        [answer] = self.client.post("/api/entries", json={"entries": [
            {"key": key, "kind": kind, "part": part, "data": data}]}).json["answers"]
        return answer


def _tested(folder):
    """What three broken arms and three broken poles bore, written into the design."""
    path = folder / "design.toml"
    text = path.read_text(encoding="utf-8")
    for key, answer in (("test_lever_mm", "600"), ("test_loads_n", "[210, 236, 224]"), ("strut_span_mm", "900"),
                        ("strut_loads_n", "[640, 702, 588]")):
        text = re.sub(rf"^# {key} = .*$", f"{key} = {answer}", text, flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")


def test_on_the_phone_from_an_old_mark_to_the_first_hub(tmp_path):
    (tmp_path / "heap.csv").write_text(old_heap_text(), encoding="utf-8")
    found = adoption(read_heap(tmp_path / "heap.csv"), old_design())
    _write_log(tmp_path, found.kit, found, datetime(2026, 3, 1, 9, 0, tzinfo=UTC))
    (tmp_path / "kit.json").write_text(kit_text(found.kit), encoding="utf-8")
    write_checks(tmp_path, found.kit.design)
    with open_book(tmp_path) as book:
        pages = Pages(book)
        part = pages.words("/find?q=r3")
        assert "carries: R3, red" in part
        assert "Not now: the raise is not started" in part
        assert "31 parts carry that code. Which one is it?" in pages.words("/find?q=red")
        [old] = [part for part in found.kit.parts if part.alias == "R3, red"]
        assert f"Fetch {old.id} (R3, red)" in pages.words(f"/place/{old.made_for}")
        assert f"What is wrong with {old.id} (R3, red)?" in pages.words(f"/damage/{old.id}")
        assert f"{old.id} (R3, red)" in pages.words("/pocket")
        assert "reads as an ID" not in part
        first = found.kit.by_place["H01"].id
        assert not pages.send("fitted", first)["kept"]
        assert not pages.send("raise_started", name="first try")["kept"]
        started = pages.press(f"/code/{first}", "/raise/start", name="first try", by="carpenter",
                              reason="nobody under it")
        assert started.status_code == 303
        card = pages.words("/step/H01")
        assert "Its turn. Strength not tested: ask the chief" in card
        assert "Its turn has come, strength not tested" in pages.words("/")
        assert "May go in now" not in card + pages.words("/")
        assert 'class="press go"' not in pages.client.get("/step/H01").text
        assert pages.send("fitted", first)["kept"]
        assert "How hard H13 may be pushed is unknown: not tested. Do not lean on it." in pages.words("/place/H13")
        assert pages.press(f"/code/{first}", "/inspect/round/open", name="spring").status_code == 303
        items = [{"item": line.item, "result": "pass"} for line in default_checks(found.kit.design).lines("hub")
                 if line.when == "always"]
        assert "carries: R3, red" in pages.words(f"/inspect/P/{old.id}?seen=typed")
        other = found.kit.by_place["H02"].id
        assert pages.send("checked", other, items=items, seen="scanned")["kept"]


@pytest.mark.bench
@pytest.mark.timeout(600)
def test_the_whole_of_it_from_the_list_to_known_limits(tmp_path):
    heap, folder = tmp_path / "heap.csv", tmp_path / "shed"
    heap.write_text(old_heap_text(), encoding="utf-8")
    said = CliRunner().invoke(main, ["identify", str(heap)]).output
    assert "Sure: icosahedron, frequency 2, class I, equal chords, cut 1/2" in said
    assert CliRunner().invoke(main, ["adopt", str(heap), str(folder)]).exit_code == 0
    refused = CliRunner().invoke(main, ["adopt", str(heap), str(folder)])
    assert refused.exit_code != 0
    assert [path.name for path in folder.iterdir()] == ["design.toml"]
    answered = design_text(old_design())
    found = (folder / "design.toml").read_text(encoding="utf-8")
    for key in ("diameter_m", "reach_mm"):
        line = re.search(rf"^{key} = .*$", found, re.MULTILINE)[0]
        answered = re.sub(rf"^{key} = .*$", line, answered, flags=re.MULTILINE)
    (folder / "design.toml").write_text(answered, encoding="utf-8")
    made = CliRunner().invoke(main, ["adopt", str(heap), str(folder)])
    assert made.exit_code == 0, made.output
    assert "To be made: 1 hub 1R and 2 struts B" in made.output
    assert CliRunner().invoke(main, ["adopt", str(heap), str(folder)]).exit_code != 0
    booklet = _text(folder / "paper" / "booklet.pdf")
    assert "Strength: nobody has tested what struts and hub arms bear." in booklet
    assert "R3, red" in booklet
    assert "should break at about" not in _text(folder / "paper" / "break-test.pdf")
    assert "carries: red" in _text(folder / "paper" / "labels.pdf")
    with open_book(folder) as book:
        pages = Pages(book)
        assert "carries: L7, blue, 4006381333931" in pages.words("/find?q=4006381333931")
        assert "what the whole frame forgives is unknown" in pages.words("/forgives")
    checks = CliRunner().invoke(main, ["checks", str(folder)])
    assert "Not fit: nobody has tested what struts and hub arms bear." in checks.output
    assert "Limits: unknown, not tested" in checks.output
    before = read_kit(folder).parts
    _tested(folder)
    again = CliRunner().invoke(main, ["make", str(folder)])
    assert again.exit_code == 0, again.output
    assert "Largest use" in again.output
    assert read_kit(folder).parts == before
    with open_book(folder) as book:
        pages = Pages(book)
        assert "May go in now" in pages.words("/step/H01")
        assert re.search(r"Push H13 sideways with at most|H13 bears more than a person", pages.words("/place/H13"))


def _text(path):
    pages = (page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path))
    return " ".join(" ".join(pages).split())
