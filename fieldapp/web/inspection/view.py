"""The overview of an inspection round: how far it is, who has what, what is open; above it what the last check said."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.said import listed
from fieldapp.kit.numbering import short_name
from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import CheckItem
from fieldapp.log.state import Defect, State
from fieldapp.reports.inspection import BoxProgress, RoundReport, Unseen
from fieldapp.reports.inspection.again import OldCheck, by_reason
from fieldapp.reports.parts import Unsound, unsound_parts
from fieldapp.reports.readiness.making import class_keys
from fieldapp.reports.verdict import Sign
from fieldapp.web.cards.part_view import class_name
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.wording.log import failed_items, item_words, line_said
from fieldapp.wording.trust import not_scanned


@dataclass(frozen=True, slots=True)
class ClassLine:
    """How far one class is."""

    words: str
    seen: int
    total: int


@dataclass(frozen=True, slots=True)
class BoxLine:
    """How far one box is, and who has it."""

    box: str
    words: str
    """Its name; "in no box" for parts that are in none."""
    seen: int
    total: int
    who: str
    waiting: tuple[str, ...]
    """IDs not yet seen in it."""
    own: bool
    held: bool
    """True if somebody has it now."""

    @property
    def others(self) -> bool:
        """True if somebody else has it."""
        return self.held and not self.own


@dataclass(frozen=True, slots=True)
class DefectLine:
    """A part that needs somebody."""

    part: str
    words: str
    urgent: bool


@dataclass(frozen=True, slots=True)
class AgainLine:
    """Parts whose inspection is old for the same reason."""

    words: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoundView:
    """A round as the overview shows it."""

    name: str
    opened: str
    closed: str
    total: int
    seen: int
    waiting: int
    """Not yet seen, missing parts not counted."""
    missing: tuple[str, ...]
    classes: tuple[ClassLine, ...]
    boxes: tuple[BoxLine, ...]
    inspectors: tuple[str, ...]
    defects: tuple[DefectLine, ...]
    again: tuple[AgainLine, ...]
    """Seen in this round, but to be seen again."""
    not_scanned: tuple[str, ...] = ()
    """By step, their labels read by nobody since."""

    @property
    def left(self) -> int:
        """Parts that are there and wait for the inspectors: not yet seen, or to be seen again."""
        return self.waiting + self.to_see_again

    @property
    def to_see_again(self) -> int:
        """How many."""
        return sum(len(line.parts) for line in self.again)

    @property
    def unseen(self) -> int:
        """Parts that were not seen, missing ones among them."""
        return self.waiting + len(self.missing)

    @property
    def open_boxes(self) -> tuple[BoxLine, ...]:
        """Boxes with parts that nobody has seen yet, or in somebody's hands: one's own first, then those nobody has."""
        wanted = (box for box in self.boxes if box.waiting or box.held)
        return tuple(sorted(wanted, key=lambda box: (not box.own, box.held)))

    @property
    def done_boxes(self) -> tuple[BoxLine, ...]:
        """Boxes of which every part was seen."""
        return tuple(box for box in self.boxes if not box.waiting and not box.held)

    @property
    def own(self) -> BoxLine | None:
        """The box of the person who looks."""
        return next((box for box in self.boxes if box.own), None)


def round_view(state: State, report: RoundReport, *, own_box: str, again: Mapping[str, OldCheck],
               now: datetime) -> RoundView:
    """The overview in words; `again`: whose inspection in this round is old."""
    waiting = [part for part in report.not_seen if not part.missing]
    opened = _("opened {time} by {who}").format(time=clock_words(report.round.opened, now),
                                                who=in_words(report.opened_by))
    closed = _("closed {time} by {who}").format(time=clock_words(report.round.closed, now),
                                                who=in_words(report.closed_by)) if report.round.closed else ""
    return RoundView(
        name=report.round.name, opened=opened, closed=closed, total=len(report.checks) + len(waiting),
        seen=len(report.checks), waiting=len(waiting),
        missing=tuple(part.part for part in report.not_seen if part.missing), classes=_classes(state, report, waiting),
        boxes=tuple(_box(box, waiting, own_box=own_box) for box in report.boxes),
        inspectors=tuple(_inspector_words(report)), defects=tuple(map(_defect, unsound_parts(state))),
        again=tuple(AgainLine(in_words(why.why), parts) for why, parts in by_reason(again)),
        not_scanned=not_scanned(state, (part.id for part in state.all_parts())))


def _classes(state: State, report: RoundReport, waiting: list[Unseen]) -> tuple[ClassLine, ...]:
    seen = Counter((check.kind, check.part_class) for check in report.checks)
    left = Counter((part.kind, part.part_class) for part in waiting)
    return tuple(ClassLine(class_name(*key), seen[key], seen[key] + left[key]) for key in class_keys(state.kit))


def _box(box: BoxProgress, waiting: list[Unseen], *, own_box: str) -> BoxLine:
    left = tuple(part.part for part in waiting if part.box == box.box)
    own = bool(box.box) and box.box == own_box
    if own and len(box.holders) == 1:
        who = ""
    elif box.holders:
        who = ngettext("{who} has it", "{who} have it", len(box.holders)).format(
            who=listed(list(map(in_words, box.holders))))
    else:
        who = _("last looked into by {who}").format(who=in_words(box.inspectors[0])) if box.inspectors else ""
    return BoxLine(box.box, box.box or _("in no box"), box.seen, box.seen + len(left), who, left,
                   own, bool(box.holders))


def _inspector_words(report: RoundReport) -> list[str]:
    return [ngettext("{who}: {n} part, {failed} not sound", "{who}: {n} parts, {failed} not sound", one.checked).format(
        who=in_words(one.who), n=one.checked, failed=one.failed) for one in report.inspectors]


def _defect(part: Unsound) -> DefectLine:
    states = {"quarantined": _("quarantined"), "watch": _("to be watched")}
    first = _("missing") if part.missing else states.get(part.condition, part.condition)
    words = [first, *(in_words(words) for words in part.words)]
    return DefectLine(part.part, " · ".join(words), part.missing or part.condition == "quarantined")


@dataclass(frozen=True, slots=True)
class CheckDone:
    """What a check that was just written down means for the part."""

    key: str
    part: str
    outcome: str
    """sound, watch, quarantined, label."""
    headline: str
    lines: tuple[str, ...]
    seen: str

    @property
    def sign(self) -> Sign:
        """Of the outcome."""
        signs: dict[str, Sign] = {"sound": "fitted", "quarantined": "stop"}
        return signs.get(self.outcome, "waits")

    @property
    def kept_out(self) -> bool:
        """True if it must not be used."""
        return self.outcome == "quarantined"

    @property
    def needs_label(self) -> bool:
        """True if nothing is wrong but its label."""
        return self.outcome == "label"

    @property
    def was_typed(self) -> bool:
        """True if its ID was typed: so will the next one be."""
        return self.seen == "typed"


def check_done(state: State, entry: Entry) -> CheckDone:
    """The answer to a check: may the part go back into its box?"""
    part, failed = str(entry.part), failed_items(entry)
    outcome = _outcome(state, part, failed)
    short = short_name(part, state.kit.design.frame.prefix)
    heads = {"quarantined": _("{part}: do not use it. Mark it and put it apart.").format(part=short),
             "watch": _("{part}: usable, to be watched. Mark it, then back into its box.").format(part=short),
             "label": _("{part} is sound, but needs a new label.").format(part=short),
             "sound": _("{part} is sound: back into its box.").format(part=short)}
    return CheckDone(entry.key, part, outcome, heads[outcome], tuple(_why(state, entry, failed)),
                     str(entry.data.get("seen", "")))


def _outcome(state: State, part: str, failed: Sequence[CheckItem]) -> str:
    if state.parts[part].condition in ("quarantined", "scrapped"):
        return "quarantined"
    if state.parts[part].condition == "watch" or any(not item.label for item in failed):
        return "watch"
    return "label" if failed else "sound"


def _why(state: State, entry: Entry, failed: Sequence[CheckItem]) -> Iterator[str]:
    part = str(entry.part)
    yield from (_("Failed: {what}").format(what=item_words(item, state, entry)) for item in failed)
    if not failed and state.parts[part].condition == "watch":
        yield _("Still watched, since it was not measured again: {items}.").format(
            items=listed([_defect_name(state, part, defect) for defect in state.parts[part].defects]))
    if not any(item.critical for item in failed) and state.parts[part].condition == "quarantined":
        yield _("It was quarantined before this check, and stays so until the chief releases it by name.")


def _defect_name(state: State, part: str, defect: Defect) -> str:
    """What a defect is called: the line of the list by which it was found, or the damage."""
    damage, entry = damage_named(state.part(part).kind, defect.what), state.index.get(defect.entry)
    if damage is not None and (entry is None or entry.kind == "damaged"):
        return in_words(damage.words)
    return in_words(line_said(state, entry, defect.what)) if entry is not None else defect.what
