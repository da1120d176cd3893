"""From the report of a round to its paper: record to sign, tags of the bundles. English and UTC, whoever asks."""

from collections.abc import Iterator
from datetime import datetime

from fieldapp.base.words import as_written
from fieldapp.kit.checklist import Check
from fieldapp.kit.kit import Kit
from fieldapp.log.kinds import CheckItem
from fieldapp.prints.inspection.pdf import inspection_bytes
from fieldapp.prints.inspection.sheets import DefectRow, InspectedBundle, InspectionSheets, ListLine, ResultRow
from fieldapp.prints.inspection.tags import tags_bytes
from fieldapp.reports.inspection.inspection import PartCheck
from fieldapp.reports.inspection.record import InspectionRecord
from fieldapp.reports.parts.usable import Unsound

NO_BOX, MISSING = "in no bundle", "missing"


def record_pdf(kit: Kit, record: InspectionRecord) -> bytes:
    """The record of a round as PDF; the same log gives the same bytes. Raises PaperError if it cannot be printed."""
    with as_written():
        return inspection_bytes(kit, record_sheets(record))


def tags_pdf(kit: Kit, record: InspectionRecord) -> bytes:
    """The tags as PDF. Raises PaperError if there is no bundle, or a tag does not fit."""
    with as_written():
        return tags_bytes(kit, [InspectedBundle(tag.bundle, tag.found, ", ".join(tag.inspectors), tag.complete)
                                for tag in record.tags])


def record_sheets(record: InspectionRecord) -> InspectionSheets:
    """What the paper says, as words."""
    report = record.report
    counts = report.outcomes
    return InspectionSheets(
        round=record.round.name, facts=tuple(_facts(record)),
        counts=(("passed", counts["passed"]), ("watch", counts["watch"]), ("quarantined", counts["quarantined"]),
                ("not seen", len(report.not_seen))),
        statement=record.statement, signatures=record.signatures,
        defects=tuple(map(_defect, record.open_defects)),
        lists=(("Hubs", tuple(map(_list_line, record.hub_checks))),
               ("Struts", tuple(map(_list_line, record.strut_checks)))),
        results=tuple(map(_result, report.checks)), not_seen=tuple(_not_seen(record)))


def _facts(record: InspectionRecord) -> Iterator[tuple[str, str]]:
    report = record.report
    yield "Opened", f"{_time(record.round.opened)} by {report.opened_by}"
    closed = record.round.closed
    yield "Closed", f"{_time(closed)} by {report.closed_by}" if closed else "not yet: this record is not complete"
    yield "Inspectors", "; ".join(f"{one.who}: {one.checked} parts" for one in report.inspectors) or "nobody yet"
    yield "List", report.checklist or "the list in this record"


def _time(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"


def _defect(part: Unsound) -> DefectRow:
    state = ", ".join((*(("missing",) if part.missing else ()),
                       *((part.condition,) if part.condition != "sound" else ())))
    ready = (f"usable from {_time(part.usable_from)}",) if part.usable_from else ()
    return DefectRow(part.part, part.part_class, state, part.box, "; ".join((*part.words, *ready)) or "no open defect")


def _list_line(check: Check) -> ListLine:
    weight = "must pass" if check.critical else "else watched"
    low, high = check.at_least, check.at_most
    against = "cut length " if check.counts_as == "length" else ""
    limits = f"{against}{low:+g} to {high:+g} {check.unit}" if low is not None and high is not None else \
        f"at least {low:g} {check.unit}" if low is not None else f"at most {high:g} {check.unit}" \
        if high is not None else ""
    each = f", each {check.each}" if check.each else ""
    return ListLine(check.item, check.look, limits, f"{weight}{each}{', in doubt' if check.when == 'in doubt' else ''}",
                    check.source)


def _result(check: PartCheck) -> ResultRow:
    failed = [_item(item) for item in check.failed]
    measured = [_item(item) for item in check.items if item.value is not None and item.result == "pass"]
    words = "; ".join((*failed, *measured)) if failed or measured else ""
    result = {"passed": "passed"}.get(check.outcome, check.outcome) + (f": {words}" if words else "")
    return ResultRow(check.part, check.part_class, check.box, f"{check.entry.at:%Y-%m-%d %H:%M}", check.entry.by,
                     check.seen, result, not failed)


def _item(item: CheckItem) -> str:
    where = f" arm {item.arm}" if item.arm else f" end {item.end}" if item.end else ""
    value = f" {item.value:g} {item.unit}" if item.value is not None else ""
    return f"{item.item}{where}{value}" + (f" ({item.words})" if item.words else "")


def _not_seen(record: InspectionRecord) -> Iterator[tuple[str, tuple[str, ...]]]:
    boxes: dict[str, list[str]] = {}
    for unseen in record.report.not_seen:
        box = MISSING if unseen.missing else unseen.box or NO_BOX
        boxes.setdefault(box, []).append(unseen.part)
    last = (NO_BOX, MISSING)
    yield from ((box, tuple(boxes[box])) for box in sorted(boxes, key=lambda box: (box in last, box)))
