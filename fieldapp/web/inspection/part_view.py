"""One part in the inspector's hand: what it went through, and the lines of the list."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.numbers import shortest
from fieldapp.base.said import listed
from fieldapp.kit.checklist import Check, limits_of, limits_said
from fieldapp.kit.checklist_lines import item_said, look_said
from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.reports.inspection.again import OldCheck
from fieldapp.reports.parts.history import part_history, part_uses
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.inspection.form import Fields, field
from fieldapp.wording.log import entry_words, outcome_words
from fieldapp.wording.place import sentence
from fieldapp.wording.trust import trust_said

TOLD = ("damaged", "repaired", "released", "missing", "found", "stored", "made")
WET = ("soaked", "came_in_wet")
"""Defects after which moisture and ends are measured."""

MOST_TOLD = 5
"""Entries shown of a part's past; the rest is on the page of its history."""


@dataclass(frozen=True, slots=True)
class MeasuredField:
    """One number to be measured."""

    field: str
    spot: int
    """Arm or end; 0 for the whole part."""
    words: str
    """"arm 3"; empty for the whole part."""
    value: str
    """As it was typed so far."""
    required: bool
    low: str = ""
    """Least and greatest number that passes, as a script reads it; empty where there is none."""
    high: str = ""


@dataclass(frozen=True, slots=True)
class SpotTick:
    """An arm or end at which a line may fail."""

    spot: int
    words: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of the list as the page shows it."""

    check: Check
    name: str
    """What it is called."""
    look: str
    """How to look."""
    limits: str
    values: tuple[MeasuredField, ...]
    """Of measured lines."""
    last: str
    """Measured lines: what was measured last; empty if never."""
    failed_before: bool
    """True if it failed before and is open still: it comes first, also where it is looked at in doubt only."""
    said: str
    """"pass" or "fail" as it was sent before; else empty."""
    words: str
    ticks: tuple[SpotTick, ...]
    """Empty where the line is about the whole part."""
    number: str = ""
    """Tells the fields of one line from those of the others on the page."""

    @property
    def asked(self) -> bool:
        """True if it is looked at on every part, or failed before on this one."""
        return self.failed_before or self.check.when == "always"

    @property
    def in_doubt(self) -> bool:
        """True if it is looked at in doubt only, so that "passes" must be said too."""
        return self.check.when == "in doubt"

    @property
    def passed(self) -> bool:
        """True if that was said before."""
        return self.said == "pass"

    @property
    def failed(self) -> bool:
        """True if that was said before."""
        return self.said == "fail"

    @property
    def of_arms(self) -> bool:
        """True if it is said of each arm of a hub, not of each end of a strut."""
        return self.check.each == "arm"

    @property
    def look_field(self) -> str:
        """Name of the field for pass or fail."""
        return field("look", self.check)

    @property
    def words_field(self) -> str:
        """Name of the field for what is wrong."""
        return field("words", self.check)

    @property
    def spot_field(self) -> str:
        """Name of the fields for arms or ends."""
        return field("spot", self.check)


@dataclass(frozen=True, slots=True)
class ListView:
    """The list for one part."""

    asked: tuple[LineView, ...]
    rare: tuple[LineView, ...]
    """Looked at in doubt only, and folded."""
    rare_items: str
    opens_rare: bool


@dataclass(frozen=True, slots=True)
class PastView:
    """What a part went through."""

    uses: str
    """"In 2 raises, damaged once"."""
    open_defects: tuple[str, ...]
    state_words: str
    """What its condition asks of the inspector; empty for a sound part."""
    notes: tuple[str, ...]
    """What whoever inspects it must know besides: its inspection is old, its ID was never read, it was used though not
    fit."""
    told: tuple[str, ...]
    """Damage, repairs and the like, newest first."""
    more: int
    last_check: str
    in_round: bool
    """True if it was checked in the open round already."""


Spots = Sequence[tuple[int, str]]
"""(number, words) of arms or ends."""


def list_view(checks: Sequence[Check], at: SiteMoment, part: Part, *, spots: Spots, said: Fields) -> ListView:
    """The list: what failed before, then critical lines; `said` are the fields as they were sent before."""
    lines = sorted((_line(check, at.state, part, spots=spots, said=said) for check in checks),
                   key=lambda one: not one.failed_before)
    rare = [line for line in lines if not line.asked]
    wet = any(defect.what in WET for defect in at.state.parts[part.id].defects)
    return ListView(_numbered([line for line in lines if line.asked], ""), _numbered(rare, "r"),
                    listed([line.name for line in rare]), bool(said) or wet)


def _numbered(lines: Sequence[LineView], prefix: str) -> tuple[LineView, ...]:
    return tuple(replace(line, number=f"{prefix}{number}") for number, line in enumerate(lines, start=1))


def _line(check: Check, state: State, part: Part, *, spots: Spots, said: Fields) -> LineView:
    past, ticked = state.parts[part.id], said.getlist(field("spot", check))
    measured = {item: (value, unit) for item, value, unit in past.measured}
    return LineView(
        check, in_words(item_said(check)), in_words(look_said(check)), in_words(limits_said(check, part)),
        values=tuple(_measured(check, part, spots, said)) if check.is_measured else (),
        last=shortest(*measured[check.item]) if check.item in measured else "",
        failed_before=check.item in {defect.what for defect in past.defects},
        said=said.get(field("look", check), ""), words=said.get(field("words", check), ""),
        ticks=tuple(SpotTick(spot, words, str(spot) in ticked) for spot, words in spots) if check.each else ())


def _measured(check: Check, part: Part, spots: Spots, said: Fields) -> Iterator[MeasuredField]:
    """One number, or one for each arm or end; the first is asked for if the line belongs to every check."""
    kind = _("arm") if check.each == "arm" else _("end")
    low, high = ("" if limit is None else repr(limit) for limit in limits_of(check, part))
    for number, spot in enumerate([spot for spot, _words in spots] if check.each else [None]):
        name = field("value", check, spot)
        yield MeasuredField(name, spot or 0, f"{kind} {spot}" if spot else "", said.get(name, ""),
                            check.when == "always" and number == 0, low, high)


def past_view(at: SiteMoment, part: Part, now: datetime, *, again: OldCheck | None) -> PastView:
    """What this part went through, in words; `again`: why its inspection is old."""
    past, state = at.state.parts[part.id], at.state
    history = [line.entry for line in reversed(part_history(state, part.id)) if line.standing == "counts"]
    told = [f"{clock_words(entry.at, now)} · {entry_words(entry, state)} · {in_words(entry.named)}"
            for entry in history if entry.kind in TOLD]
    current = state.open_round
    return PastView(
        uses=_uses(state, part.id), open_defects=tuple(in_words(said) for said in past.reasons),
        state_words=_state_words(state, part.id), notes=_notes(state, part.id, again),
        told=tuple(told[:MOST_TOLD]), more=max(0, len(told) - MOST_TOLD),
        last_check=_last_check(state, past.last_check, now),
        in_round=current is not None and past.round == current.key)


def _notes(state: State, part_id: str, again: OldCheck | None) -> tuple[str, ...]:
    old = () if again is None else (sentence(in_words(again.said)) + ".",)
    return (*old, *map(in_words, trust_said(state, part_id)))


def _uses(state: State, part_id: str) -> str:
    use = next(use for use in part_uses(state) if use.part == part_id)
    words = [ngettext("in {n} raise", "in {n} raises", use.raises).format(n=use.raises) if use.raises
             else _("not yet in a raise")]
    if use.damaged:
        words.append(ngettext("damaged once", "damaged {n} times", use.damaged).format(n=use.damaged))
    if use.repaired:
        words.append(ngettext("mended once", "mended {n} times", use.repaired).format(n=use.repaired))
    return listed(words)


def _state_words(state: State, part_id: str) -> str:
    past = state.parts[part_id]
    if past.missing:
        return _("It was missing: with this check it counts as found.")
    if past.condition == "quarantined":
        return _("It is quarantined. A check does not change that: the chief releases it by name.")
    if past.mended:
        return _("It was mended: look at the mended spot first.")
    if past.condition == "watch":
        return _("It is being watched: look at that first.")
    return _("Its label was unreadable: is the new one on it?") if past.label_gone else ""


def _last_check(state: State, key: str | None, now: datetime) -> str:
    entry = state.index.get(key or "")
    if entry is None:
        return _("never checked before")
    return _("last check {time}, {who}: {outcome}").format(
        time=clock_words(entry.at, now), who=in_words(entry.named), outcome=outcome_words(entry, state))
