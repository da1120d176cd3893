"""One part in the inspector's hand: what it went through, the lines of the list, and what the last check said."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.numbers import shortest
from fieldapp.base.said import listed
from fieldapp.kit.checklist import Check, limits_said
from fieldapp.kit.checklist_lines import item_said, look_said
from fieldapp.kit.kit import Part
from fieldapp.kit.numbering import short_name
from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import CheckItem
from fieldapp.log.state import Defect, State
from fieldapp.reports.parts.history import part_history, part_uses
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.standing import SiteMoment
from fieldapp.web.inspection.form import field
from fieldapp.wording.check import failed_items, item_words, line_said, outcome_words
from fieldapp.wording.log import entry_words

TOLD = ("damaged", "repaired", "released", "missing", "found", "stored", "made")
WET = ("soaked", "came_in_wet")
"""Defects after which moisture and ends are measured."""

MOST_TOLD = 5
"""Entries shown of a part's past; the rest is on the page of its history."""


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of the list as the page shows it."""

    check: Check
    name: str
    """What it is called."""
    look: str
    """How to look."""
    limits: str
    values: tuple[tuple[str, int | None, str], ...]
    """Measured lines: (name of the field, arm or end, value so far)."""
    last: str
    """Measured lines: what was measured last; empty if never."""
    failed_before: bool
    """True if it failed before and is open still: it comes first, also where it is looked at in doubt only."""

    @property
    def asked(self) -> bool:
        """True if it is looked at on every part, or failed before on this one."""
        return self.failed_before or self.check.when == "always"


@dataclass(frozen=True, slots=True)
class PastView:
    """What a part went through."""

    uses: str
    """"In 2 raises, damaged once"."""
    open_defects: tuple[str, ...]
    state_words: str
    """What its condition asks of the inspector; empty for a sound part."""
    told: tuple[str, ...]
    """Damage, repairs and the like, newest first."""
    more: int
    last_check: str
    measure: bool
    """True if the numbers of the list are called for: it came in wet, or swelled."""
    in_round: bool
    """True if it was checked in the open round already."""


def check_lines(checks: Sequence[Check], state: State, part: Part, *, spots: Sequence[int],
                said: dict[str, str]) -> tuple[LineView, ...]:
    """The lines of the list: what failed before, then critical ones; `said` are the fields as they were sent before."""
    open_items = {defect.what for defect in state.parts[part.id].defects}
    measured = {item: (value, unit) for item, value, unit in state.parts[part.id].measured}

    def line(check: Check) -> LineView:
        fields = [(field("value", check, spot), spot) for spot in (spots if check.each else (None,))]
        values = tuple((name, spot, said.get(name, "")) for name, spot in fields) if check.is_measured else ()
        last = shortest(*measured[check.item]) if check.item in measured else ""
        return LineView(check, in_words(item_said(check)), in_words(look_said(check)),
                        in_words(limits_said(check, part)), values, last, check.item in open_items)

    return tuple(sorted(map(line, checks), key=lambda one: not one.failed_before))


def past_view(at: SiteMoment, part: Part, now: datetime) -> PastView:
    """What this part went through, in words."""
    past, state = at.state.parts[part.id], at.state
    history = [line.entry for line in reversed(part_history(state, part.id)) if line.standing == "counts"]
    told = [f"{clock_words(entry.at, now)} · {entry_words(entry, state)} · {in_words(entry.named)}"
            for entry in history if entry.kind in TOLD]
    current = state.open_round
    return PastView(
        uses=_uses(state, part.id), open_defects=tuple(in_words(said) for said in past.reasons),
        state_words=_state_words(state, part.id), told=tuple(told[:MOST_TOLD]), more=max(0, len(told) - MOST_TOLD),
        last_check=_last_check(state, past.last_check, now),
        measure=any(defect.what in WET for defect in past.defects),
        in_round=current is not None and past.round == current.key)


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


def check_done(state: State, entry: Entry) -> CheckDone:
    """The answer to a check: may the part go back into its box?"""
    part, failed = str(entry.part), failed_items(entry)
    outcome = _outcome(state, part, failed)
    short = short_name(part)
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
