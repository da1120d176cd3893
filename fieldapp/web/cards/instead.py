"""Which part goes to a place instead, in words and with its button."""

from dataclasses import dataclass
from datetime import datetime

from fieldapp.base.words import figures
from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.reports.parts.replacements import replacements
from fieldapp.reports.parts.substitutes import ToMake
from fieldapp.web.common.i18n import _
from fieldapp.wording.replacing import candidate_words, make_words

MOST_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Choice:
    """One part that fits."""

    part: str
    words: str


@dataclass(frozen=True, slots=True)
class Instead:
    """What could go to a place."""

    place: str
    kind: str
    part_class: str
    choices: tuple[Choice, ...]
    not_shown: int
    make: tuple[str, ...]
    """What to make if there is no choice."""
    arms: tuple[tuple[int, str, str], ...]
    """Of a hub to make: (arm, azimuth, dip) in words."""


def instead_of(site: Site, state: State, place: str, now: datetime) -> Instead:
    """Parts that fit `place`, nearest first, and what to make."""
    found = replacements(site, state, place, now=now)
    shown = found.candidates[:MOST_SHOWN]
    return Instead(place, found.make.kind, found.make.part_class,
                   tuple(Choice(one.part, candidate_words(place, one)) for one in shown),
                   len(found.candidates) - len(shown), _make_words(found.make),
                   tuple((number, figures(f"{azimuth:.1f}°"), figures(f"{dip:.1f}°"))
                         for number, azimuth, dip in found.make.arms))


def _make_words(make: ToMake) -> tuple[str, ...]:
    """A hub's arms are a table of their own on the page."""
    return (_("Make a hub of class {name}, with these arms:").format(name=make.part_class),) if make.arms \
        else make_words(make)
