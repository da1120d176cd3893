"""The start page in words: what comes next for whom, how far each ring is, how fast it goes."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from fieldapp.plan.lifting import lifters_for_mass
from fieldapp.plan.plan import Plan, Step
from fieldapp.reports.pace import Pace
from fieldapp.reports.progress import NextPlace, by_team, may_come_out, may_go_in, places_of, progress
from fieldapp.web.i18n import _
from fieldapp.web.place_view import place_view
from fieldapp.web.standing import Standing
from fieldapp.web.words_log import clock_words
from fieldapp.web.words_place import joined, ring_words

SHOWN_NOW = 18
"""Places listed as "may go in now"; the rest is counted."""

Phase = Literal["before", "up", "stands", "down", "down_done"]


@dataclass(frozen=True, slots=True)
class RingLine:
    """How far one ring is."""

    number: int
    words: str
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class TeamLine:
    """What one team could take now."""

    team: int
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StartView:
    """What the start page says."""

    phase: Phase
    headline: str
    more: str
    next_place: str | None
    teams: tuple[TeamLine, ...]
    """Going up: what each team could take now. Coming down, or with one team: a single line."""
    fresh: frozenset[str]
    """All places that may go in, or come out, now: for the picture."""
    not_shown: int
    stuck: tuple[str, ...]
    """Places whose turn it is, but whose part may not be used: another must be found."""
    lift: tuple[str, ...]
    """What to lift before the next step, if anything."""
    rings: tuple[RingLine, ...]
    done: int
    total: int


def start_view(at: Standing, team: int = 0) -> StartView:
    """What to do next, from the plan and what is fitted; for one team, or (0) for anybody."""
    if at.state.phase == "striking":
        return _coming_down(at)
    return _going_up(at, team)


def _going_up(at: Standing, team: int) -> StartView:
    open_places = may_go_in(at.plan, at.state)
    usable = tuple(place for place in open_places if place.usable)
    shares = by_team(usable, at.kit.design.crew.teams)
    stuck = tuple(place.place for place in open_places if not place.usable)
    mine = (shares[team - 1] if team else ()) or usable
    first = next(iter(mine or open_places), None)
    teams = tuple(TeamLine(number, tuple(place.place for place in share[:SHOWN_NOW]))
                  for number, share in enumerate(shares, start=1) if share)
    headline, more = _next_words(at, first, team if mine is not usable else 0)
    whole = progress(at.plan, at.state)
    return StartView(
        phase=_phase_up(at, first), headline=headline, more=more, next_place=first.place if first else None,
        teams=teams, fresh=frozenset(place.place for place in usable), stuck=stuck,
        not_shown=len(usable) - sum(len(line.places) for line in teams), lift=_lift_words(at, first),
        rings=ring_lines(at), done=whole.fitted, total=whole.needed)


def _phase_up(at: Standing, first: NextPlace | None) -> Phase:
    if first is None:
        return "stands"
    return "up" if at.state.running_raise or at.state.fitted else "before"


def _next_words(at: Standing, first: NextPlace | None, team: int) -> tuple[str, str]:
    if first is None:
        return _("The frame stands: every place is filled."), ""
    place = place_view(at, first.place)
    if not first.usable:
        return _("Find another part for {name}").format(name=place.name), _(
            "The one meant for it is damaged, missing or scrapped.")
    if place.kind == "hub":
        words, more = _("Next: hub {name}"), place.where
    else:
        words, more = _("Next: strut {name}"), f"{place.headline} · {place.where}"
    headline = words.format(name=place.name)
    return (_("Team {team} · {headline}").format(team=team, headline=headline) if team else headline), more


def _lift_words(at: Standing, first: NextPlace | None) -> tuple[str, ...]:
    """The lift before the next step: how many people, at which hubs, how high, how evenly."""
    if first is None or first.place not in at.plan.step_of:
        return ()
    step = at.plan.step_for(first.place)
    return lift_words(at, step)


def lift_words(at: Standing, step: Step) -> tuple[str, ...]:
    """Empty for a step without a lift."""
    if step.lift_mm <= 0.0 or not step.carried_at:
        return ()
    done = at.plan.steps[:None if step.joins else step.number]
    mass_kg = sum(at.kit.by_place[place].mass_kg for one in done if one.piece == step.piece
                  for place in places_of(one) if at.state.is_fitted(place))
    people = max(len(step.carried_at), lifters_for_mass(mass_kg))
    return (_("Lift first: {people} people, at {hubs}, {height} m up, all together on a call.").format(
                people=people, hubs=joined(step.carried_at), height=f"{step.lift_mm / 1000.0:.2f}"),
            *((step.caution,) if step.caution else ()))


def _coming_down(at: Standing) -> StartView:
    out = may_come_out(at.plan, at.state)
    first = next(iter(out), None)
    whole = progress(at.plan, at.state)
    headline = _("Take out next: {name}").format(name=first) if first else _("Everything is out of the frame.")
    more = place_view(at, first).where if first else _("Bundle what lies loose, and count it.")
    return StartView(
        phase="down" if first else "down_done", headline=headline, more=more, next_place=first,
        teams=(TeamLine(0, out[:SHOWN_NOW]),) if out else (), fresh=frozenset(out), stuck=(), lift=(),
        not_shown=max(0, len(out) - SHOWN_NOW), rings=ring_lines(at), done=whole.fitted, total=whole.needed)


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
