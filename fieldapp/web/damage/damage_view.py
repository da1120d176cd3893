"""The answer to damage as a page shows it."""

from dataclasses import dataclass, replace
from datetime import datetime

from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import DamagedData
from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.reports.damage.answer import DamageAnswer, damage_answer
from fieldapp.web.cards.instead import Instead, instead_of
from fieldapp.web.cards.status import Shape
from fieldapp.web.common.i18n import _
from fieldapp.wording.damage import damage_words, verdict_words

SHAPES: dict[str, Shape] = {"go on": "fitted", "hold and replace": "waits", "stop": "stop", "in the stores": "spare"}


@dataclass(frozen=True, slots=True)
class AnswerView:
    """What to do about one damage."""

    part: str
    place: str | None
    shape: Shape
    headline: str
    label_only: bool
    lines: tuple[str, ...]
    holds: tuple[str, ...]
    instead: Instead | None
    """Parts that could take its place; None where it may be used on, or has no place."""
    photo: str
    sits: bool
    """True if it sits in the frame."""


def answer_view(site: Site, state: State, entry: Entry, now: datetime) -> AnswerView:
    """The answer at this moment to damage written down earlier."""
    part_id, data = str(entry.part), DamagedData.model_validate(dict(entry.data))
    named = damage_named(state.part(part_id).kind, data.what)
    label_only = named is not None and named.label_only
    found = damage_answer(site, state, part_id, damage=data, now=now)
    instead = instead_of(site, state, found.place, now) if found.stays_out and found.place else None
    return AnswerView(
        part=part_id, place=found.place, shape="fitted" if label_only else SHAPES[found.verdict],
        headline=_("Only the label: print a new one.") if label_only else verdict_words(found), label_only=label_only,
        lines=() if label_only else _why(found), holds=tuple(hold.hub for hold in found.holds), instead=instead,
        photo=data.photo, sits=state.parts[part_id].fitted_at is not None)


def _why(found: DamageAnswer) -> tuple[str, ...]:
    """All words but the first line and the replacements, which have buttons of their own."""
    return damage_words(replace(found, replacements=None))[1:]
