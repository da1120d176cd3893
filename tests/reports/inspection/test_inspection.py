"""Rounds: who saw what with which result, and what nobody has seen."""

import csv
import io

import pytest

from fieldapp.base.said import in_words
from fieldapp.log.fold import fold
from fieldapp.reports.inspection import round_report
from fieldapp.reports.inspection.again import inspected_parts
from fieldapp.reports.inspection.record import inspection_record, record_csv
from fieldapp.reports.parts.own_numbers import part_strengths


def _inspected(shed):
    return inspected_parts(shed.state, shed.hall.checklist.seen_again, now=shed.now)


def test_nothing_counts_that_was_not_checked_in_the_latest_round(bare):
    assert round_report(bare.state) is None
    first = bare.log("round_opened", name="autumn", checklist="checks.toml")
    bare.check("OH-H01-6")
    bare.log("round_closed", who="chief 2")
    earlier = round_report(bare.state)
    bare.log("round_opened", name="spring")
    report = round_report(bare.state)
    assert (report.checks, len(report.not_seen), report.complete) == ((), 226, False)
    assert _inspected(bare) == frozenset()
    assert earlier.round.key == first.key
    assert (earlier.opened_by, earlier.closed_by, earlier.checklist) == ("chief", "chief 2", "checks.toml")
    assert [check.part for check in earlier.checks] == ["OH-H01-6"]


def test_boxes_and_inspectors_side_by_side(bare):
    for part in ("OH-H01-6", "OH-H02-4", "OH-H03-2"):
        bare.log("stored", part, bundle="H1")
    bare.log("round_opened", name="spring")
    bare.check("OH-H01-6", who="inspector 1")
    bare.check("OH-H02-4", {"item": "looseness", "result": "fail", "arm": 2}, who="inspector 2")
    bare.check(bare.part_for("H04"), who="inspector 1", box="loose heap")
    report = round_report(bare.state)
    assert [(box.box, box.parts, box.seen, box.inspectors) for box in report.boxes] == [
        ("H1", 3, 2, ("inspector 2", "inspector 1")), ("loose heap", 1, 1, ("inspector 1",)), ("", 222, 0, ())]
    assert [(one.who, one.checked, one.failed, one.box) for one in report.inspectors] == [
        ("inspector 1", 2, 0, "loose heap"), ("inspector 2", 1, 1, "H1")]
    assert report.outcomes == {"passed": 2, "watch": 0, "quarantined": 1}


def test_a_critical_failure_quarantines_another_is_watched_and_a_label_is_only_printed_again(bare):
    bare.log("round_opened", name="spring")
    bare.check("OH-H01-6", {"item": "cracks across the grain", "result": "fail", "arm": 3})
    bare.check("OH-H02-4", {"item": "marks", "result": "fail"})
    bare.check("OH-H03-2", {"item": "label readable", "result": "fail"})
    report = round_report(bare.state)
    assert [(check.outcome, check.condition) for check in report.checks] == [
        ("quarantined", "quarantined"), ("watch", "watch"), ("passed", "sound")]
    assert tuple(map(in_words, report.checks[0].open_defects)) == ("failed: cracks across the grain, arm 3",)
    assert [item.item for item in report.checks[2].failed] == ["label readable"]
    assert bare.state.parts["OH-H03-2"].label_gone


def test_an_undone_check_leaves_the_part_unseen(bare):
    bare.log("round_opened", name="spring")
    entry = bare.check("OH-H01-6")
    assert _inspected(bare) == {"OH-H01-6"}
    bare.log("withdrawn", entry=entry.key, reason="the wrong hub in my hand")
    assert _inspected(bare) == frozenset()
    assert len(round_report(bare.state).not_seen) == 226


def test_a_raise_uses_an_inspection_up(tiny_bare):
    bare = tiny_bare
    bare.log("round_opened", name="before the first raise")
    for place in ("H01", "H02"):
        bare.check(bare.part_for(place))
    bare.log("raise_started", name="first")
    used = bare.part_for("H01")
    bare.log("fitted", used)
    assert used in _inspected(bare)
    bare.log("strike_started")
    bare.log("stored", used, bundle="H1")
    bare.log("raise_ended")
    assert _inspected(bare) == {bare.part_for("H02")}
    reason, old = bare.readiness().reasons[-2:]
    assert in_words(reason.words) == "34 of 36 parts not inspected since they were last used"
    assert in_words(old.words) == "1 of 36 parts to be seen again: 1 raised since"
    assert in_words(old.what_next) == "Scan them in round \"before the first raise\"."


def test_measured_numbers_become_lengths_and_strengths(bare):
    bare.log("round_opened", name="spring")
    strut = bare.hall.kit.by_place["S001"]
    bare.check(strut.id, {"item": "length", "result": "pass", "value": strut.cut_length_mm + 0.8},
               {"item": "moisture", "result": "pass", "value": 25.0})
    bare.check("OH-H01-6", {"item": "moisture", "result": "pass", "value": 14.0})
    bare.check(strut.id, {"item": "length", "result": "pass", "value": strut.cut_length_mm - 0.5})
    bare.log("repaired", "OH-H02-4", how="cleat_and_glue", by="carpenter", arm=2, capacity=0.7)
    strengths = part_strengths(bare.state, bare.hall.checklist)
    assert strengths[strut.id].off_mm == pytest.approx(-0.5)
    assert strengths[strut.id].whole == pytest.approx(0.70 / 0.90)
    assert (strengths["OH-H01-6"].whole, strengths["OH-H01-6"].trust) == (1.0, 1.0)
    assert (strengths["OH-H02-4"].at(2), strengths["OH-H02-4"].at(1)) == (0.7, 1.0)


def test_the_record_and_its_table_come_from_the_log_alone(bare):
    assert inspection_record(bare.state, bare.hall.checklist) is None
    for part in ("OH-H01-6", "OH-H02-4"):
        bare.log("stored", part, bundle="H1")
    bare.log("round_opened", name="spring")
    bare.check("OH-H01-6", {"item": "looseness", "result": "fail", "arm": 2, "words": "creaks, a \"lot\""})
    bare.check(bare.part_for("S001"), {"item": "moisture", "result": "pass", "value": 12.5})
    record = inspection_record(bare.state, bare.hall.checklist)
    assert " ".join(map(in_words, record.statement)).startswith(
        "In the round \"spring\" 2 parts were scanned or typed one by one and inspected by the list in this record: "
        "1 passed, 0 to be watched, 1 quarantined. 224 parts were not seen and not covered.")
    tag, = record.tags
    assert (tag.bundle, tag.seen, tag.complete, in_words(tag.said)) == (
        "H1", 1, False, "not complete: 1 of 2 parts inspected, last on 2026-05-01")
    assert [defect.part for defect in record.open_defects] == ["OH-H01-6"]
    rows = list(csv.DictReader(io.StringIO(record_csv(record))))
    loose = next(row for row in rows if row["item"] == "looseness" and row["part"] == "OH-H01-6")
    assert (loose["result"], loose["arm"], loose["words"], loose["outcome"]) == (
        "fail", "2", "creaks, a \"lot\"", "quarantined")
    assert next(row["value"] for row in rows if row["item"] == "moisture") == "12.5"
    assert sum(row["seen"] == "not seen" for row in rows) == 224
    assert all(None not in row and None not in row.values() for row in rows)
    again = inspection_record(fold(bare.hall.kit, reversed(bare.state.entries)), bare.hall.checklist)
    assert record_csv(again) == record_csv(record)
    assert again == record
