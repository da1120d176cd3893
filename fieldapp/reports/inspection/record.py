"""The signed record of an inspection round: everything its paper and its table hold, from kit, list and log alone."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.csv_text import Cells, csv_text
from fieldapp.base.said import Row, Said, Value, say, say_n
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.log.codes import carried
from fieldapp.log.state import Round, State
from fieldapp.reports.inspection import Outcome, PartCheck, RoundReport, Unseen, outcome_said, round_report
from fieldapp.reports.inspection.went_on import went_on_said
from fieldapp.reports.parts import Unsound, unsound_parts
from fieldapp.reports.raising import bundles

COLUMNS = ("part", "kind", "class", "box", "checked_at", "by", "seen", "item", "critical", "result", "value", "unit",
           "arm", "end", "words", "outcome", "condition_now", "carries", "by_step_not_scanned")


@dataclass(frozen=True, slots=True)
class BundleTag:
    """The tag on one bundle: when it was last inspected, with which result."""

    bundle: str
    parts: tuple[str, ...]
    round: str
    """Name of the round."""
    seen: int
    outcomes: tuple[tuple[Outcome, int], ...]
    last: datetime | None
    """Time of the latest check of a part in it; None if none was seen in this round."""
    inspectors: tuple[Value, ...]

    @property
    def complete(self) -> bool:
        """True if every part in it was seen."""
        return self.seen == len(self.parts)

    @property
    def said(self) -> Value:
        """For a person: "inspected 2026-05-01, all 12 parts passed"."""
        found = Row(self.found)
        return found if self.complete or self.last is None else say("not complete: {found}", found=found)

    @property
    def found(self) -> tuple[Value, ...]:
        """The same line by line, without saying that some of its parts were not seen."""
        if self.last is None:
            return (say("not inspected"),)
        day = f"{self.last:%Y-%m-%d}"
        if not self.complete:
            return (say("{seen} of {all} parts inspected", seen=self.seen, all=len(self.parts)),
                    say("last on {day}", day=day))
        counts = dict(self.outcomes)
        bad = tuple(Row((count, outcome_said(name)), " ") for name, count in self.outcomes
                    if name != "passed" and count)
        if bad:
            return (say("inspected {day}", day=day),
                    say("{count} passed, {others}", count=counts["passed"], others=Row(bad)))
        return say("inspected {day}", day=day), say("all {count} parts passed", count=len(self.parts))


@dataclass(frozen=True, slots=True)
class InspectionRecord:
    """One round, as signed."""

    frame: str
    prefix: str
    round: Round
    report: RoundReport
    hub_checks: tuple[Check, ...]
    strut_checks: tuple[Check, ...]
    open_defects: tuple[Unsound, ...]
    """Watched, quarantined and missing parts, in the kit's order."""
    tags: tuple[BundleTag, ...]
    statement: tuple[Said, ...]
    """What is signed, sentence by sentence, with the counts filled in."""
    not_scanned: tuple[str, ...]
    """Parts that went in by step and whose label nobody has read since."""
    went_on: Said | None
    """Who started the newest raise although the kit was not fit, and why; None if it was fit."""
    signatures: tuple[Said, ...]
    """What stands before each line to sign on: one for every inspector, one for whoever releases the kit."""
    carried: Mapping[str, str]
    """What parts carry besides their ID, of those that carry anything."""


def inspection_record(state: State, checklist: Checklist) -> InspectionRecord | None:
    """The record of a round, the latest if none is named; None if there was none. The same log, the same record.

    `checklist` is for rounds of old logs, which do not hold the list that was used.
    """
    report = round_report(state)
    if report is None:
        return None
    checklist = report.round.checklist or checklist
    frame = state.kit.design.frame
    return InspectionRecord(frame.name, frame.prefix, report.round, report, checklist.lines("hub"),
                            checklist.lines("strut"), unsound_parts(state), tuple(_tags(state, report)),
                            tuple(_statement(report)),
                            tuple(part.id for part in state.all_parts() if state.parts[part.id].not_scanned),
                            went_on_said(state), tuple(_signatures(report)),
                            {part.id: marks for part in state.all_parts() if (marks := carried(state, part.id))})


def record_csv(record: InspectionRecord) -> str:
    """One row for each line of each check, then one for each part that was not seen."""
    rows = (*(row for check in record.report.checks for row in _check_rows(check)),
            *map(_unseen_row, record.report.not_seen))
    return csv_text(COLUMNS, ((*row, record.carried.get(str(row[0]), ""),
                               "yes" if row[0] in record.not_scanned else "no") for row in rows))


def _check_rows(check: PartCheck) -> Iterator[Cells]:
    head = (check.part, check.kind, check.part_class, check.box, check.entry.at.isoformat(timespec="seconds"),
            check.entry.by, check.seen)
    for item in check.items:
        value = "" if item.value is None else f"{item.value:.12g}"
        yield (*head, item.item, "yes" if item.critical else "no", item.result, value, item.unit, item.arm or "",
               item.end or "", item.words, check.outcome, check.condition)


def _unseen_row(unseen: Unseen) -> Cells:
    seen = "missing" if unseen.missing else "not seen"
    return (unseen.part, unseen.kind, unseen.part_class, unseen.box, "", "", seen, *[""] * 9, unseen.condition)


def _tags(state: State, report: RoundReport) -> Iterator[BundleTag]:
    checks = {check.part: check for check in report.checks}
    for bundle, parts in bundles(state).items():
        own = [checks[part] for part in parts if part in checks]
        counted = Counter(check.outcome for check in own)
        names: tuple[Outcome, ...] = ("passed", "watch", "quarantined")
        yield BundleTag(bundle, parts, report.round.name, len(own), tuple((name, counted[name]) for name in names),
                        max((check.entry.at for check in own), default=None),
                        _inspectors(own))


def _inspectors(checks: Iterable[PartCheck]) -> tuple[Value, ...]:
    """Each once, by name."""
    named = {check.entry.by: check.entry.named for check in checks}
    return tuple(named[by] for by in sorted(named))


def _statement(report: RoundReport) -> Iterator[Said]:
    counts = report.outcomes
    waiting = len(report.not_seen)
    yield say_n("In the round \"{round}\" {n} part was scanned or typed one by one and inspected by the list in this "
                "record: {passed} passed, {watch} to be watched, {out} quarantined.",
                "In the round \"{round}\" {n} parts were scanned or typed one by one and inspected by the list in this "
                "record: {passed} passed, {watch} to be watched, {out} quarantined.",
                len(report.checks), round=report.round.name, passed=counts["passed"], watch=counts["watch"],
                out=counts["quarantined"])
    yield say_n("{n} part was not seen and not covered.", "{n} parts were not seen and not covered.", waiting) \
        if waiting else say("No part was left out.")
    yield say("Quarantined parts are kept apart and not used until released by name.")


def _signatures(report: RoundReport) -> Iterator[Said]:
    for one in report.inspectors:
        yield say_n("{who}, inspected {n} part: name, date, signature",
                    "{who}, inspected {n} parts: name, date, signature", one.checked, who=one.who)
    if not report.inspectors:
        yield say("Inspector: name, date, signature")
    yield say("Released for use by: name, date, signature")
