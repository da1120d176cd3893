"""A kit folder that an earlier program wrote opens: same state, same labels, plans worked out once (tests/data)."""

import html
import json
import re
import shutil
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from at_the_laptop import at_the_laptop
from click.testing import CliRunner

from fieldapp.cli import main
from fieldapp.log.opening import open_book
from fieldapp.web.server import create_app

DATA = Path(__file__).parents[1] / "data"
NOTED = json.loads((DATA / "cider-porch.json").read_text(encoding="utf-8"))
pytestmark = pytest.mark.thorough
LANGUAGES = ("en", "nl", "de", "fr", "es")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A copy, as it was found."""
    return shutil.copytree(DATA / "cider-porch", tmp_path_factory.mktemp("earlier") / "cider-porch")


@pytest.fixture(scope="module")
def book(folder):
    with open_book(folder) as opened:
        yield opened


@pytest.fixture(scope="module")
def phone(book, folder):
    return at_the_laptop(create_app(book, photos=folder / "photos")).test_client()


def _words(answer):
    page = re.sub(r"<svg.*?</svg>", "", answer.text, flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", page))


def _bare(text):
    """Without blanks, which are set otherwise before a colon in French now."""
    return "".join(text.split())


def _part(state, part_id):
    held = state.parts[part_id]
    return {"condition": held.condition, "missing": held.missing, "fitted_at": held.fitted_at,
            "home": state.home_of(part_id), "capacity": [list(reduced) for reduced in held.capacity],
            "mended": held.mended, "label_gone": held.label_gone, "bundle": held.bundle, "came_in": list(held.came_in),
            "measured": [list(value) for value in held.measured]}


def test_kit_and_log_tell_the_same_state(book):
    state = book.state
    assert {"phase": state.phase, "way": state.way, "raises": [told.name for told in state.raises],
            "rounds": [[told.name, told.closed is not None] for told in state.rounds],
            "boxes": [[held.box, held.who] for held in state.open_round.boxes], "made": sorted(state.made),
            "withdrawn": dict(state.withdrawn), "clashes": [clash.key for clash in state.clashes],
            "fitted": dict(state.fitted), "allocation": dict(state.allocation),
            "entries": [entry.key for entry in state.entries]} == {
        name: value for name, value in NOTED.items() if name != "parts"}
    assert {part.id: _part(state, part.id) for part in state.all_parts()} == {
        part: {name: value for name, value in told.items() if name != "defects"}
        for part, told in NOTED["parts"].items()}


def test_defects_read_the_same_in_every_language(book, phone):
    """How many a part has, and that its page says each in the words of that time; what people typed stays as it was."""
    told = {part: noted["defects"] for part, noted in NOTED["parts"].items()}
    assert {part.id: len(book.state.parts[part.id].defects) for part in book.state.all_parts()} == {
        part: len(words["en"]) if words else 0 for part, words in told.items()}
    unsaid = [(part, words) for part, noted in told.items() if noted for language in LANGUAGES
              for page in [_words(phone.get(f"/p/{part}", headers={"Accept-Language": language}))]
              for words in noted[language] if _bare(words) not in _bare(page)]
    assert unsaid == []


def test_photos_are_shown_as_they_were_kept(book, phone):
    kept = sorted((DATA / "cider-porch" / "photos").iterdir())
    assert sorted(str(entry.data["photo"]) for entry in book.state.entries if entry.data.get("photo")) == [
        path.stem for path in kept]
    assert [path.name for path in kept if phone.get(f"/photos/{path.name}").data != path.read_bytes()] == []


def test_labels_say_the_same(folder, tmp_path):
    """Every line of every label, wherever on its sheet: both ends of a strut, a hub and its arms lie together now."""
    written = CliRunner().invoke(main, ["labels", str(folder), "--out", str(tmp_path / "labels.pdf")])
    assert written.exit_code == 0, written.output
    before, now = map(pdfium.PdfDocument, (DATA / "cider-porch/paper/labels.pdf", tmp_path / "labels.pdf"))
    was, is_ = ({word for page in sheets for word in page.get_textpage().get_text_bounded().split() if "-" in word}
                for sheets in (before, now))
    assert is_ == was
    assert len(was) > 50


def test_kept_plans_are_worked_out_again_once(folder, book):
    """They belong to the program text that wrote them. Places and order of the steps are what they were."""
    kept = sorted(DATA.glob("cider-porch/plan-*.json"))
    assert len(kept) == 2
    assert [path.name for path in kept if path.read_bytes() == (folder / path.name).read_bytes()] == []
    steps = json.loads((DATA / "cider-porch/plan-crown-set-on-last.json").read_text(encoding="utf-8"))["steps"]
    assert [(step.hub, *(insertion.strut for insertion in step.struts)) for step in book.site.plan.steps] == [
        (step["hub"], *(insertion["strut"] for insertion in step["struts"])) for step in steps]
    again = shutil.copytree(folder, folder.parent / "again", ignore=shutil.ignore_patterns("log.sqlite*"))
    found = {path.name: (again / path.name).stat().st_ino for path in kept}
    with open_book(again) as opened:
        assert opened.site.plan.steps
    assert {name: (again / name).stat().st_ino for name in found} == found, "a plan was written again"
