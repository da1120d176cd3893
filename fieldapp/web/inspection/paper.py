"""From the report of a round to its paper, for a phone or into the kit's folder: record to sign, tags of the bundles.

In the language of the design and in UTC, whoever asks.
"""

from collections.abc import Iterator
from pathlib import Path

from fieldapp.base.clock import date_words, utc_words
from fieldapp.base.errors import KitError
from fieldapp.base.numbers import shortest
from fieldapp.base.said import in_words, listed, say
from fieldapp.base.words import _
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.checklist import Check
from fieldapp.kit.checklist_lines import item_said, look_said, source_said
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import short_name
from fieldapp.log.kinds import CheckItem
from fieldapp.log.opening import logged_state
from fieldapp.log.state import condition_said
from fieldapp.prints import in_kit_language
from fieldapp.prints.inspection import DefectRow, InspectedBundle, InspectionSheets, ResultRow, UsedLine
from fieldapp.prints.inspection.pdf import inspection_bytes, tags_bytes
from fieldapp.prints.sheets.new_places import stickers_pdf
from fieldapp.reports.inspection import PartCheck, outcome_said
from fieldapp.reports.inspection.record import InspectionRecord, inspection_record, record_csv
from fieldapp.reports.parts import Unsound
from fieldapp.reports.readiness import Readiness, folder_checklist
from fieldapp.wording.carried import beside
from fieldapp.wording.counted import parts_words

MOST_NOT_SCANNED = 40
"""IDs that find room among the facts of the first page; of more the rest is counted."""
SEEN = {"scanned": say("scanned"), "typed": say("typed")}

RECORD, TABLE = "inspection-record.pdf", "inspection-record.csv"
TAGS, STICKERS = "inspection-tags.pdf", "new-places.pdf"


@in_kit_language
def record_pdf(kit: Kit, record: InspectionRecord) -> bytes:
    """The record of a round as PDF; the same log gives the same bytes. Raises PaperError if it cannot be printed."""
    return inspection_bytes(kit, record_sheets(record))


@in_kit_language
def tags_pdf(kit: Kit, record: InspectionRecord) -> bytes:
    """The tags as PDF. Raises PaperError if there is no bundle, or a tag does not fit."""
    return tags_bytes(kit, [InspectedBundle(tag.bundle, tuple(map(in_words, tag.found)),
                                            ", ".join(map(in_words, tag.inspectors)), tag.complete)
                            for tag in record.tags])


def record_sheets(record: InspectionRecord) -> InspectionSheets:
    """What the paper says, as words of the language in use."""
    report = record.report
    counts = report.outcomes
    return InspectionSheets(
        round=record.round.name, facts=tuple(_facts(record)),
        counts=((_("passed"), counts["passed"]), (_("watch"), counts["watch"]),
                (_("quarantined"), counts["quarantined"]), (_("not seen"), len(report.not_seen))),
        statement=" ".join(map(in_words, record.statement)), signatures=tuple(map(in_words, record.signatures)),
        defects=tuple(_defect(part, record) for part in record.open_defects),
        lists=((_("Hubs"), tuple(map(_list_line, record.hub_checks))),
               (_("Struts"), tuple(map(_list_line, record.strut_checks)))),
        results=tuple(_result(check, record) for check in report.checks), not_seen=tuple(_not_seen(record)))


def _facts(record: InspectionRecord) -> Iterator[tuple[str, str]]:
    report = record.report
    yield _("Opened"), _("{time} by {who}").format(time=utc_words(record.round.opened), who=in_words(report.opened_by))
    closed = record.round.closed
    yield _("Closed"), _("not yet: this record is not complete") if closed is None else \
        _("{time} by {who}").format(time=utc_words(closed), who=in_words(report.closed_by))
    yield _("Inspectors"), "; ".join(_("{name}: {what}").format(name=in_words(one.who), what=parts_words(one.checked))
                                     for one in report.inspectors) or _("nobody yet")
    if record.not_scanned:
        yield _("By step, not scanned"), listed([beside(short_name(part), record.carried.get(part, ""))
                                                 for part in record.not_scanned], most=MOST_NOT_SCANNED)
    if record.went_on is not None:
        yield _("Not fit"), in_words(record.went_on)
    yield _("List"), report.checklist or _("{hubs} lines for hubs, {struts} for struts").format(
        hubs=len(record.hub_checks), struts=len(record.strut_checks))


def _named(part: str, record: InspectionRecord) -> str:
    """A part in a list of the record."""
    return beside(part, record.carried.get(part, ""))


def _defect(part: Unsound, record: InspectionRecord) -> DefectRow:
    state = ", ".join((*((_("missing"),) if part.missing else ()),
                       *((in_words(condition_said(part.condition)),) if part.condition != "sound" else ())))
    ready = (_("usable from {time}").format(time=utc_words(part.usable_from)),) if part.usable_from else ()
    known = "; ".join((*map(in_words, part.words), *ready))
    return DefectRow(_named(part.part, record), part.part_class, state, part.box, known or _("no open defect"))


def _list_line(check: Check) -> UsedLine:
    weight = [_("must pass") if check.critical else _("else watched")]
    weight += [_("each arm") if check.each == "arm" else _("each end")] if check.each else []
    weight += [_("in doubt")] if check.when == "in doubt" else []
    return UsedLine(in_words(item_said(check)), in_words(look_said(check)), _limits(check), ", ".join(weight),
                    in_words(source_said(check)))


def _limits(check: Check) -> str:
    """Between what a measured number must lie; empty for pass or fail."""
    low, high = check.at_least, check.at_most
    if low is not None and high is not None:
        words = _("cut length {low} to {high} {unit}") if check.counts_as == "length" else _("{low} to {high} {unit}")
        return words.format(low=shortest(low, plus=True), high=shortest(high, plus=True), unit=check.unit)
    if low is not None:
        return _("at least {number}").format(number=shortest(low, check.unit))
    return "" if high is None else _("at most {number}").format(number=shortest(high, check.unit))


def _result(check: PartCheck, record: InspectionRecord) -> ResultRow:
    lines = {line.item: line for line in (record.hub_checks if check.kind == "hub" else record.strut_checks)}
    failed = [_item(item, lines.get(item.item)) for item in check.failed]
    measured = [_item(item, lines.get(item.item)) for item in check.items
                if item.value is not None and item.result == "pass"]
    words = "; ".join((*failed, *measured)) if failed or measured else ""
    outcome = in_words(outcome_said(check.outcome))
    result = _("{name}: {what}").format(name=outcome, what=words) if words else outcome
    return ResultRow(_named(check.part, record), check.part_class, check.box, date_words(check.entry.at),
                     in_words(check.entry.named), in_words(SEEN[check.seen]), result, not failed)


def _item(item: CheckItem, line: Check | None) -> str:
    words = in_words(item.item if line is None else item_said(line))
    if item.arm or item.end:
        where = _("{item} arm {arm}") if item.arm else _("{item} end {end}")
        words = where.format(item=words, arm=item.arm, end=item.end)
    value = f" {shortest(item.value, item.unit)}" if item.value is not None else ""
    return f"{words}{value}" + (f" ({item.words})" if item.words else "")


def _not_seen(record: InspectionRecord) -> Iterator[tuple[str, tuple[str, ...]]]:
    boxes: dict[tuple[int, str], list[str]] = {}
    for unseen in record.report.not_seen:
        box = (2, _("missing")) if unseen.missing else (0, unseen.box) if unseen.box else (1, _("in no bundle"))
        boxes.setdefault(box, []).append(_named(unseen.part, record))
    yield from ((box[1], tuple(boxes[box])) for box in sorted(boxes))


def write_inspection_paper(folder: Path, ready: Readiness) -> tuple[Path, ...]:
    """Write the record, its table, the tags of the bundles, and stickers for parts that change their place.

    Raises
    ------
    KitError
        If there was no inspection round yet, or the disk does not allow it.
    PaperError
        If something does not fit the paper of the design.
    """
    kit = read_kit(folder)
    state = logged_state(folder, kit)
    record = inspection_record(state, folder_checklist(folder, kit))
    if record is None:
        raise KitError(f"{folder} has had no inspection round yet, so there is no record to write. Serve it, let the "
                       f"chief open a round, and inspect: raisebook serve {folder}")
    files = {RECORD: record_pdf(kit, record), TABLE: record_csv(record).encode()}
    if record.tags:
        files[TAGS] = tags_pdf(kit, record)
    if ready.outfit.stickers:
        files[STICKERS] = stickers_pdf(kit, state, ready.outfit.stickers)
    paper = folder / "paper"
    paper.mkdir(exist_ok=True)
    for name, content in files.items():
        write_atomic(paper / name, content)
    return tuple(paper / name for name in files)
