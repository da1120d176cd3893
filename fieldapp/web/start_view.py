"""The start page in words: what comes next, what else may go in, how far each ring is."""

from dataclasses import dataclass

from fieldapp.frame.frame import Frame
from fieldapp.log.state import State
from fieldapp.plan.plan import Plan, Step
from fieldapp.web.i18n import _
from fieldapp.web.place_view import place_view
from fieldapp.web.status import may_go_now
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
    rings: tuple[RingLine, ...]
    done: int
    total: int


def start_view(frame: Frame, plan: Plan, state: State) -> StartView:
    """What to do next, from the plan and what is fitted."""
    now = may_go_now(plan, state)
    headline, more = _next_words(frame, plan, state, now)
    rings = ring_lines(frame, plan, state)
    return StartView(headline=headline, more=more, next_place=now[0] if now else None, now=now[:SHOWN_NOW],
                     fresh=frozenset(now),
                     not_shown=max(0, len(now) - SHOWN_NOW), rings=rings, done=sum(r.done for r in rings),
                     total=sum(r.total for r in rings))


def _next_words(frame: Frame, plan: Plan, state: State, now: tuple[str, ...]) -> tuple[str, str]:
    if not now:
        return _("The frame stands: every place is filled."), ""
    place = place_view(frame, plan, state, now[0])
    if place.kind == "hub":
        return _("Next: hub {name}").format(name=place.name), place.where
    return _("Next: strut {name}").format(name=place.name), f"{place.headline} · {place.where}"


def places_of(step: Step) -> tuple[str, ...]:
    """The places that a step fills."""
    return (step.hub, *(item.strut for item in step.struts))


def ring_lines(frame: Frame, plan: Plan, state: State) -> tuple[RingLine, ...]:
    """Progress ring by ring; a strut counts with the ring of the hub it comes with."""
    places: dict[int, list[str]] = {}
    for step in plan.steps:
        places.setdefault(step.ring, []).extend(places_of(step))
    return tuple(RingLine(ring, ring_words(frame, ring), sum(map(state.is_fitted, names)), len(names))
                 for ring, names in sorted(places.items()))


def places_in_ring(plan: Plan, ring: int) -> tuple[str, ...]:
    """The places of a ring in the order of the plan."""
    return tuple(name for step in plan.steps if step.ring == ring for name in places_of(step))
