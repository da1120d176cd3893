"""`raisebook checks --paper`: record, table, tags and stickers, read back, and the same bytes from the same log."""

import csv
import io
import shutil
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner
from small_frame import SPARES, small_design

from fieldapp.cli_ask import checks
from fieldapp.cli_log import log
from fieldapp.frame.design import RaisingSection
from fieldapp.kit import build_kit
from fieldapp.kit.checklist import needed_lines
from fieldapp.kit.checklist_defaults import checks_text, default_checks, write_checks
from fieldapp.kit.file import write_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.opening import open_book

SMALL = small_design(spares=SPARES, raising=RaisingSection(way="ring by ring"))
MORNING = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
PAPER = {"inspection-record.pdf", "inspection-record.csv", "inspection-tags.pdf", "new-places.pdf"}
BUNDLE = "hubs & more"


class Inspectors:
    """Two people who write one round into the log, a minute apart."""

    def __init__(self, book):
        self.book, self.sent = book, 0

    def log(self, kind, part=None, who="chief", **data):
        self.sent += 1
        asked = Request(f"key {self.sent}", kind, part, who=who, data=data, chief=True)
        answer = self.book.submit(asked, MORNING + timedelta(minutes=self.sent))
        assert isinstance(answer, Entry), answer

    def live(self):
        """Four hubs in a bundle, of which one is not seen; one hub cracks; one pole is damp; all else is sound."""
        parts = self.book.site.kit.parts
        hubs, self.damp = parts[:4], next(part.id for part in parts if part.kind == "strut")
        self.cracked, self.unseen = hubs[1].id, hubs[3].id
        for hub in hubs:
            self.log("stored", hub.id, bundle=BUNDLE)
        self.log("round_opened", name="spring")
        self.log("box_taken", who="inspector 1", box=BUNDLE)
        for number, part in enumerate(parts):
            if part.id != self.unseen:
                self.log("checked", part.id, who=f"inspector {1 + number % 2}", items=list(self.items(part)))

    def items(self, part):
        for item in [check.item for check in needed_lines(self.book.site.checklist.lines(part.kind))]:
            failed = part.id == self.cracked and item == "looseness"
            yield {"item": item, "result": "fail", "arm": 2, "words": "creaks"} if failed else {
                "item": item, "result": "pass"}
        if part.id == self.damp:
            yield {"item": "moisture", "result": "pass", "value": 24.5}


@pytest.fixture(scope="module")
def lived(tmp_path_factory):
    """A kit's folder after the round; gives (folder, what happened)."""
    folder = tmp_path_factory.mktemp("kit")
    write_kit(folder, build_kit(SMALL))
    write_checks(folder, SMALL)
    with open_book(folder) as book:
        told = Inspectors(book)
        told.live()
        told.parts = [part.id for part in book.state.all_parts()]
    return folder, told


@pytest.fixture(scope="module")
def paper(lived):
    """What the command wrote, by name."""
    result = CliRunner().invoke(checks, [str(lived[0]), "--paper"])
    assert result.exit_code == 1
    assert {line.rpartition("/")[2] for line in result.stderr.splitlines()} == PAPER
    return _paper(lived[0])


def _paper(folder):
    return {path.name: path.read_bytes() for path in (folder / "paper").iterdir()}


def _pages(data):
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]


def _symbols(data):
    return [code.text for page in pypdfium2.PdfDocument(data)
            for code in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())]


def test_the_record_names_kit_round_inspectors_and_every_part(lived, paper):
    _folder, told = lived
    pages = _pages(paper["inspection-record.pdf"])
    first, whole = pages[0], "\n".join(pages)
    for words in ("Orchard Hall (kit OH)", "Inspection round: spring", "Released for use by: name, date, signature",
                  "2026-05-01 09:05 UTC by chief", told.cracked):
        assert words in first
    assert first.count("parts: name, date, signature") == 2
    assert [part for part in told.parts if part not in whole] == []
    assert "quarantined: looseness arm 2 (creaks)" in " ".join(whole.split())
    assert "watch: moisture 24.5 %" in " ".join(whole.split())
    assert f"{BUNDLE}: {told.unseen}" in whole
    assert all(f"{number} of {len(pages)}" in page for number, page in enumerate(pages, start=1))


def test_the_table_says_the_same(lived, paper):
    _folder, told = lived
    rows = list(csv.DictReader(io.StringIO(paper["inspection-record.csv"].decode())))
    loose = next(row for row in rows if row["part"] == told.cracked and row["item"] == "looseness")
    assert (loose["result"], loose["arm"], loose["words"], loose["condition_now"]) == (
        "fail", "2", "creaks", "quarantined")
    assert next(row for row in rows if row["item"] == "moisture")["value"] == "24.5"
    assert [row["part"] for row in rows if row["seen"] == "not seen"] == [told.unseen]


def test_the_tag_says_that_a_part_was_not_seen_and_its_symbol_opens_the_bundle(paper):
    words = _pages(paper["inspection-tags.pdf"])[0]
    for line in (BUNDLE, "not complete", "3 of 4 parts inspected", "last on 2026-05-01"):
        assert line in words
    assert _symbols(paper["inspection-tags.pdf"]) == ["http://10.0.0.1:8000/bundle?name=hubs%20%26%20more"]


def test_the_sticker_gives_a_spare_the_place_of_the_cracked_hub(lived, paper):
    _folder, told = lived
    place = told.cracked.split("-")[1]
    assert f"new place {place}" in "\n".join(_pages(paper["new-places.pdf"]))
    assert all("/P/OH-" in text for text in _symbols(paper["new-places.pdf"]))


def test_the_same_log_gives_the_same_bytes_also_on_another_laptop(lived, paper, tmp_path):
    folder, _told = lived
    CliRunner().invoke(checks, [str(folder), "--paper"])
    assert _paper(folder) == paper
    lines, other = tmp_path / "log.jsonl", tmp_path / "other laptop"
    CliRunner().invoke(log, ["export", str(folder), "--to", str(lines)], catch_exceptions=False)
    other.mkdir()
    shutil.copy(folder / "kit.json", other)
    default = default_checks(SMALL)      # its list was edited since: the round keeps its own
    edited = replace(default, hub=tuple(check for check in default.hub if check.item != "marks"))
    (other / "checks.toml").write_text(checks_text(edited), encoding="utf-8")
    CliRunner().invoke(log, ["import", str(other), str(lines), "--yes"], catch_exceptions=False)
    CliRunner().invoke(checks, [str(other), "--paper"])
    assert _paper(other) == paper


def test_without_a_round_it_says_what_to_do(tmp_path):
    write_kit(tmp_path, build_kit(SMALL))
    result = CliRunner().invoke(checks, [str(tmp_path), "--paper"])
    assert "has had no inspection round yet" in str(result.exception)
    assert not (tmp_path / "paper").exists()
