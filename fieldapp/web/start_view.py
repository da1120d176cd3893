"""The start page in words: what comes next, what else may go in, how far each ring is."""

from dataclasses import dataclass
from datetime import datetime

from fieldapp.plan.plan import Plan
from fieldapp.reports.pace import Pace
from fieldapp.reports.progress import NextPlace, may_go_in, places_of, progress
from fieldapp.web.i18n import _
from fieldapp.web.place_view import place_view
from fieldapp.web.standing import Standing
from fieldapp.web.words_log import clock_words
from fieldapp.web.words_place import ring_words

SHOWN_NOW = 18
"""Places listed as "may go in now"; the rest is counted."""


@dataclass(frozen=True, slots=True)
class RingLine:
    """How far one ring is."""

    number: int
    words: str
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class StartView:
    """What the start page says."""

    headline: str
    more: str
    next_place: str | None
    now: tuple[str, ...]
    fresh: frozenset[str]
    """All places that may go in now, for the picture."""
    not_shown: int
    stuck: tuple[str, ...]
    """Places whose turn it is, but whose part may not be used: another must be found."""
    rings: tuple[RingLine, ...]
    done: int
    total: int


def start_view(at: Standing) -> StartView:
    """What to do next, from the plan and what is fitted."""
    open_places = may_go_in(at.plan, at.state)
    now = tuple(place.place for place in open_places if place.usable)
    stuck = tuple(place.place for place in open_places if not place.usable)
    headline, more = _next_words(at, open_places)
    whole = progress(at.plan, at.state)
    return StartView(headline=headline, more=more, next_place=(*now, *stuck, None)[0], now=now[:SHOWN_NOW],
                     fresh=frozenset(now), not_shown=max(0, len(now) - SHOWN_NOW), stuck=stuck,
                     rings=ring_lines(at), done=whole.fitted, total=whole.needed)


def _next_words(at: Standing, open_places: tuple[NextPlace, ...]) -> tuple[str, str]:
    if not open_places:
        return _("The frame stands: every place is filled."), ""
    first = next((place for place in open_places if place.usable), open_places[0])
    place = place_view(at, first.place)
    if not first.usable:
        return _("Find another part for {name}").format(name=place.name), _(
            "The one meant for it is damaged, missing or scrapped.")
    if place.kind == "hub":
        return _("Next: hub {name}").format(name=place.name), place.where
    return _("Next: strut {name}").format(name=place.name), f"{place.headline} · {place.where}"


def pace_words(pace: Pace, now: datetime) -> str:
    """How fast it goes and when it may stand; nothing once it stands."""
    if pace.remaining == 0:
        return ""
    finish = clock_words(pace.finish, now)
    if pace.earliest and pace.latest:
        return _("About {n} places an hour: it stands at about {finish}, between {earliest} and {latest}.").format(
            n=round(pace.places_per_hour), finish=finish, earliest=clock_words(pace.earliest, now),
            latest=clock_words(pace.latest, now))
    return _("At the pace of the design, {n} places an hour, it stands at about {finish}.").format(
        n=round(pace.places_per_hour), finish=finish)


def ring_lines(at: Standing) -> tuple[RingLine, ...]:
    """Progress ring by ring, in words."""
    return tuple(RingLine(ring.ring, ring_words(at.frame, ring.ring), ring.fitted, ring.needed)
                 for ring in progress(at.plan, at.state).rings)


def places_in_ring(plan: Plan, ring: int) -> tuple[str, ...]:
    """The places of a ring in the order of the plan."""
    return tuple(name for step in plan.steps if step.ring == ring for name in places_of(step))
