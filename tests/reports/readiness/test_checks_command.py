"""`raisebook checks`: the report in a terminal, as JSON, and its exit status."""

import json
from datetime import UTC, datetime

import pytest
from click.testing import CliRunner
from small_frame import small_design

from fieldapp.cli import main
from fieldapp.cli_ask import checks
from fieldapp.frame.design import RaisingSection
from fieldapp.kit import build_kit
from fieldapp.kit.checklist import needed_lines
from fieldapp.kit.checklist_defaults import write_checks
from fieldapp.kit.file import write_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.opening import open_book

SMALL = small_design(raising=RaisingSection(way="ring by ring"))


@pytest.fixture
def folder(tmp_path):
    write_kit(tmp_path, build_kit(SMALL))
    write_checks(tmp_path, SMALL)
    return tmp_path


def submit(book, key, kind, part=None, **data):
    outcome = book.submit(Request(key, kind, part, data=data, chief=True), datetime(2026, 5, 1, 9, 0, tzinfo=UTC))
    assert isinstance(outcome, Entry), outcome


def inspect_all(folder, scrapped=()):
    with open_book(folder) as book:
        submit(book, "round", "round_opened", name="spring")
        for part in book.site.kit.parts:
            items = [check.item for check in needed_lines(book.site.checklist.lines(part.kind))]
            submit(book, part.id, "checked", part.id, items=[{"item": item, "result": "pass"} for item in items])
        for part in scrapped:
            submit(book, f"scrap {part}", "scrapped", part, reason="snapped")


def test_a_kit_that_nobody_inspected_ends_with_status_1_and_writes_nothing(folder):
    before = sorted(folder.iterdir())
    result = CliRunner().invoke(checks, [str(folder)])
    assert result.exit_code == 1
    assert "NOT FIT" in result.output
    assert "not fit: nothing is inspected" in result.output
    assert sorted(folder.iterdir()) == before


def test_an_inspected_kit_is_fit_and_one_scrapped_hub_is_not(folder):
    inspect_all(folder)
    result = CliRunner().invoke(checks, [str(folder), "--json"])
    assert (result.exit_code, json.loads(result.output)["verdict"]) == (0, "fit")
    with open_book(folder) as book:
        part = book.site.kit.by_place["H26"]
        submit(book, "scrap", "scrapped", part.id, reason="snapped")
    result = CliRunner().invoke(checks, [str(folder), "--json"])
    record = json.loads(result.output)
    assert result.exit_code == 1
    assert [row["class"] for row in record["to_make"]["parts"]] == [part.part_class]
    text = CliRunner().invoke(checks, [str(folder)]).output
    assert f"1 hub of class {part.part_class}: arms 1 at 0.0°" in text
    table = text.splitlines()[5:5 + 1 + len(record["classes"])]
    assert table[0].split()[0] == "class"
    assert max(map(len, text.splitlines())) <= 80


def test_the_keys_of_the_json_record_stay(folder):
    record = json.loads(CliRunner().invoke(checks, [str(folder), "--json"]).output)
    assert list(record) == ["frame", "way", "asked_at", "fit", "verdict", "round", "classes", "reasons", "stages",
                            "limits", "allocation", "to_make", "mend", "emergency", "smaller", "spares", "labels_gone"]
    assert set(record["reasons"][0]) == {"why", "words", "what_next", "parts", "places"}
    assert set(record["stages"][0]) == {"step", "hub", "stands", "arm_use", "arm", "tube_use", "tube", "locked_use",
                                        "weight_borne", "push_limit_n"}
    assert set(record["limits"]) == {"real", "sound"}
    assert set(record["limits"]["real"]) == {"least_push_n", "hub", "step", "wind_m_s"}
    assert set(record["allocation"]) == {"worst", "sum", "empty", "empty_before", "fewest_exchanges", "best",
                                         "closing_gap_before_mm", "closing_gap_mm", "new_places"}


@pytest.mark.parametrize(("spoilt", "status"), [("kit.json", 3), ("checks.toml", 3), ("log.sqlite", 5)])
def test_a_folder_that_cannot_be_read_is_neither_fit_nor_unfit(folder, spoilt, status):
    inspect_all(folder)
    (folder / spoilt).write_text("[[{ nothing of the kind")
    result = CliRunner().invoke(main, ["checks", str(folder)])
    assert result.exit_code == status
    assert result.output.startswith("raisebook: ")


def test_a_file_that_the_disk_refuses_is_not_taken_for_a_kit_that_is_not_fit(folder):
    (folder / "checks.toml").unlink()
    (folder / "checks.toml").mkdir()
    result = CliRunner().invoke(main, ["checks", str(folder)])
    assert result.exit_code == 3
    assert "checks.toml cannot be read" in result.output


def test_a_way_that_does_not_exist_is_refused(folder):
    result = CliRunner().invoke(main, ["checks", str(folder), "--way", "upside down"])
    assert (result.exit_code, "upside down" in result.output) == (2, True)
    other = CliRunner().invoke(main, ["checks", str(folder), "--way", "crown set on last", "--json"])
    assert (other.exit_code, json.loads(other.output)["way"]) == (1, "crown set on last")
