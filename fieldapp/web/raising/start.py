"""The start page: what comes next for whom, how far each ring is, how fast it goes."""

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from flask import Blueprint, render_template

from fieldapp.base.clock import clock_words
from fieldapp.base.said import listed
from fieldapp.log.exchanging import Exchanging
from fieldapp.log.rules import Setting, is_to_begin
from fieldapp.reports.exchange import next_tick
from fieldapp.reports.raising import NextPlace, Progress, by_team, progress, strike_progress
from fieldapp.reports.raising.pace import Pace, pace
from fieldapp.reports.standing.strike import Strike, strike
from fieldapp.reports.standing.winds import somebody_works, two_winds
from fieldapp.reports.verdict import Sign, places_now, steps_now, verdict_of
from fieldapp.statics.untested import is_untested
from fieldapp.web.cards.ahead import LiftNow, lift_now
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.feet import FeetNow, feet_now
from fieldapp.web.cards.fitness import against_now
from fieldapp.web.cards.holding import holds_now
from fieldapp.web.cards.place_view import RingLine, place_view, ring_lines
from fieldapp.web.cards.status import labels_to_print
from fieldapp.web.common.context import SiteMoment, patience_s, site, standing, state, team, team_numbers
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.page import moment
from fieldapp.web.common.rights import is_chief, is_laptop
from fieldapp.web.raising.course import new_kit_words, way_line
from fieldapp.web.raising.out_lines import out_lines
from fieldapp.web.raising.stage_now import stage_now
from fieldapp.web.raising.steps import step_now
from fieldapp.wording.exchange import running_lines
from fieldapp.wording.place import sentence
from fieldapp.wording.verdict import below_words, way_out_words
from fieldapp.wording.winds import two_wind_lines

bp = Blueprint("start", __name__)

SHOWN_NOW = 18
"""Places listed as "may go in now"; the rest is counted."""
MOST_LABELS = 12
StartPhase = Literal["before", "up", "stands", "down", "down_done"]


@bp.get("/")
def page() -> str:
    """What comes next, what to hold, what may go in or come out now, how far it is, three ways in."""
    here, now = site(), site().clock()
    view = start_view(standing(), here.book.site, team())
    step = step_now(view.phase)
    if step and step.name:      # the words are of the step that this phone is offered
        view = start_view(standing(), here.book.site, team(), step.name)
    view = replace(view, unfit=_unfit(view, now))
    speed = pace_words(pace(here.kit, here.plan, state(), now), now) if view.phase in ("before", "up") else ""
    labels = labels_to_print(state())[:MOST_LABELS] if is_laptop() or is_chief() else ()
    return render_template("raising/start.html", view=view, pace=speed, done=done(), here="start", team=team(),
                           stage=stage_now(here.book.site, state()), strike=strike_progress(state()), labels=labels,
                           way=way_line(here.plan.way), plan=here.plan, teams=team_numbers(),
                           winds=two_wind_lines(two_winds(here.book.site, state()), working=somebody_works(
                               here.book.site, state())) if state().fitted else (),
                           chief_act=view.chief_act if is_chief() else None,
                           chief_starts=is_chief() and view.not_begun, step=step,
                           holding=holds_now(stage_now(here.book.site, state()).holds))


def _unfit(view: "StartView", now: datetime) -> tuple[str, ...]:
    """Before a raise, why the kit is not fit, the first reason in words; nothing while that is worked out."""
    here = site()
    if not (view.not_begun and moment().between_raises) or here.book.site.unfit is None:
        return ()
    found = against_now(here.book.site, state(), now, patience_s=patience_s())
    if not found:
        return ()
    more = ngettext("and {n} more reason.", "and {n} more reasons.", len(found) - 1).format(n=len(found) - 1)
    new = () if is_to_begin(here.book.site, state()) else (new_kit_words(),)
    return (_("The kit is not fit"), f"{sentence(in_words(found[0].words))}.", *([more] * (len(found) > 1)), *new)


@bp.get("/ping")
def ping() -> tuple[str, int]:
    """Nothing, quickly: phones ask this to know whether the laptop is in reach."""
    return "", 204


@dataclass(frozen=True, slots=True)
class TeamLine:
    """What one team could take now."""

    team: int
    places: tuple[str, ...]
    alone: bool = False
    """True if no other team could take anything: then its number is not said."""


@dataclass(frozen=True, slots=True)
class ChiefAct:
    """The chief's way on: to start, to strike, to end."""

    words: str
    go: bool = True
    """True if it is the next thing to do."""


@dataclass(frozen=True, slots=True)
class StartView:
    """What the start page says."""

    phase: StartPhase
    headline: str
    more: tuple[str, ...]
    next_place: str | None
    teams: tuple[TeamLine, ...]
    """What each team could take, or take out, now."""
    fresh: frozenset[str]
    """All that may go in, or come out, now: for the picture."""
    not_shown: int
    stuck: tuple[str, ...]
    """Places whose turn it is, but whose part may not be used: another must be found."""
    lift: LiftNow
    """What to lift before the next step, if anything."""
    rings: tuple[RingLine, ...]
    done: int
    total: int
    lying: int = 0
    """Parts out of the frame and in no bundle, at the strike."""
    feet: FeetNow = field(default_factory=FeetNow)
    """What to peg now, or what may be let go."""
    tested: bool = True
    """False where nobody has tested what the parts bear: then nothing is green."""
    unfit: tuple[str, ...] = ()
    """Before a raise: that the kit is not fit, and why."""
    exchange_at: str = ""
    """Place at which an exchange runs: then nothing else is done."""

    @property
    def sign(self) -> Sign:
        """Of the places whose turn it is."""
        return "now" if self.tested else "unknown"

    @property
    def step_is_next(self) -> bool:
        """True if nothing comes before the step that is offered: no lift, no lowering."""
        return self.tested and not self.lift.due

    @property
    def first_heading(self) -> str:
        """What comes first: pegs, else the lift or the next place."""
        return self.feet.heading or self.headline

    @property
    def then(self) -> str:
        """The next place, where pegs come first."""
        return self.headline if self.feet.heading else ""

    @property
    def not_begun(self) -> bool:
        """True while the raise has not been started."""
        return self.phase == "before"

    @property
    def coming_down(self) -> bool:
        """True at the strike, also once everything is out."""
        return self.phase in ("down", "down_done")

    @property
    def all_out(self) -> bool:
        """True at the strike once nothing is left in the frame."""
        return self.phase == "down_done"

    @property
    def chief_act(self) -> ChiefAct | None:
        """What the chief may do next with the raise; None while it runs up or down."""
        if self.phase == "before":
            return ChiefAct(_("Start the raise"))
        if self.phase == "stands":
            return ChiefAct(_("Start the strike"), go=False)
        return ChiefAct(_("End the raise"), go=not self.lying) if self.all_out else None


def start_view(at: SiteMoment, site: Setting, team: int = 0, step: str = "") -> StartView:
    """What comes next, of the step with this first place if one is named; green only where somebody has tested what the
    parts bear."""
    return replace(_start_view(at, site, team, step), tested=not is_untested(at.kit.design))


def _start_view(at: SiteMoment, site: Setting, team: int, step: str) -> StartView:
    """What to do next, from the plan and what is fitted; for one team, or (0) for anybody."""
    if at.state.exchanging is not None:
        return _exchanging(at, site, at.state.exchanging)
    if at.state.phase != "striking":
        return _going_up(at, site, team, step)
    view = replace(_coming_down(at, site, strike(site, at.state), team, step=step), feet=feet_now(site, at.state))
    lift = lift_now(site, at.state)
    return replace(view, lift=lift, headline=_("Lower the piece now, before anything else comes out"), more=(),
                   next_place=None, teams=(), fresh=frozenset()) if lift.due else view


def _exchanging(at: SiteMoment, site: Setting, running: Exchanging) -> StartView:
    """While a part in the frame is exchanged: what is held, and that building stops; nothing else may go in."""
    tick, whole = next_tick(at.state, running), progress(at.plan, at.state)
    headline, *more = running_lines(running, tick)
    return StartView(phase="up", headline=headline, more=tuple(more), next_place=None, teams=(),
                     fresh=frozenset(verdict_of(site, at.state).places), not_shown=0, stuck=(), lift=LiftNow(),
                     rings=ring_lines(at), done=whole.fitted, total=whole.needed, exchange_at=running.place)


def _going_up(at: SiteMoment, site: Setting, team: int, step: str) -> StartView:
    open_places = places_now(site, at.state)
    usable = tuple(place for place in open_places if place.usable)
    shares = by_team(usable, at.kit.design.crew.teams)
    stuck = tuple(place.place for place in open_places if not place.usable)
    mine = (shares[team - 1] if team else ()) or usable
    own = tuple(place for place in mine if at.plan.step_for(place.place).places[0] == step)
    first = next(iter(own or mine or open_places), None)
    teams = tuple(TeamLine(number, tuple(place.place for place in share[:SHOWN_NOW]), sum(map(bool, shares)) == 1)
                  for number, share in enumerate(shares, start=1) if share)
    feet, lift = feet_now(site, at.state), lift_now(site, at.state)
    if feet.heading:
        lift = replace(lift, due=False)     # pegs first: the piece is set down on them
    headline, more = _next_words(at, first, team if mine is not usable else 0)
    if lift.due and first is not None and first.place in lift.opens:
        headline = lift.heading(first.place)
    whole, stage = progress(at.plan, at.state), verdict_of(site, at.state)
    if first is None and whole.fitted < whole.needed:
        headline = below_words(stage.first)     # empty where a peg is what comes next, and the page says it
        more = way_out_words(stage.way_out)
        if is_to_begin(site, at.state):
            headline = _("Nothing goes in yet")
    return StartView(
        phase=_phase_up(at, first, whole), headline=headline, more=more, next_place=first.place if first else None,
        teams=teams, fresh=frozenset(place.place for place in usable), stuck=stuck,
        not_shown=len(usable) - sum(len(line.places) for line in teams), lift=lift,
        rings=ring_lines(at), done=whole.fitted, total=whole.needed, feet=feet)


def _phase_up(at: SiteMoment, first: NextPlace | None, whole: Progress) -> StartPhase:
    if first is None and whole.fitted == whole.needed:
        return "stands"
    return "up" if at.state.running_raise or at.state.fitted else "before"


def _next_words(at: SiteMoment, first: NextPlace | None, team: int) -> tuple[str, tuple[str, ...]]:
    if first is None:
        return _("The frame stands: every place is filled."), ()
    place = place_view(at, first.place)
    if not first.usable:
        return _("Find another part for {name}").format(name=place.name), (_(
            "The one meant for it is damaged, missing or scrapped."),)
    more: tuple[str, ...]
    if place.kind == "hub":
        words, more = _("Next: hub {name}"), (place.where,)
    else:
        words, more = _("Next: strut {name}"), (place.headline, place.where)
    headline = words.format(name=place.name)
    return (_("Team {team} · {headline}").format(team=team, headline=headline) if team else headline), more


def _coming_down(at: SiteMoment, site: Setting, found: Strike, team: int, *, step: str) -> StartView:
    """The plan backwards: one step taken back for each team."""
    stage, free = verdict_of(site, at.state), steps_now(site, at.state)
    green = [out if out.step is None else replace(out, places=verdict_of(site, at.state, out.step).places)
             for out in found.next if out.safe and (out.step is None or out.step in free)]
    own = [out for out in green if out.step and at.plan.steps[out.step - 1].places[0] == step]
    mine = next(iter((*own, *(green[team - 1:team] if team else ()), *green, *found.next)), None)
    whole = progress(at.plan, at.state)
    more: tuple[str, ...]
    if mine is None:
        headline, more = _("Everything is out of the frame."), (_("Bundle what lies loose, and count it."),)
    else:
        more = out_lines(at, site, mine)
        whole_hub = mine.hub and len(mine.places) > 1
        words = _("Take out next: {hub} with its struts") if whole_hub else _("Take out next: {places}")
        headline = words.format(hub=mine.hub, places=listed(mine.places)) if mine in green else more[0]
        more = (*more, *way_out_words(stage.way_out))
    teams = tuple(TeamLine(number, out.places, len(green) == 1) for number, out in enumerate(green, start=1))
    return StartView(
        phase="down" if mine else "down_done", headline=headline, more=more,
        next_place=mine.places[0] if mine and mine in green else None, teams=teams,
        fresh=frozenset(mine.places if mine and mine in green else ()), stuck=(), lift=LiftNow(), not_shown=0,
        rings=ring_lines(at), done=whole.fitted, total=whole.needed, lying=len(found.lying))


def pace_words(pace: Pace, now: datetime) -> str:
    """How fast it goes and when it may stand; nothing once it stands."""
    if pace.remaining == 0:
        return ""
    finish = clock_words(pace.finish, now)
    if pace.earliest and pace.latest:
        words = _("About {n} places an hour: it stands at about {finish}, between {earliest} and {latest}.") \
            if pace.source == "this raise" else _(
                "At the pace of the last raise, {n} places an hour, it stands at about {finish}, between {earliest} "
                "and {latest}.")
        return words.format(
            n=round(pace.places_per_hour), finish=finish, earliest=clock_words(pace.earliest, now),
            latest=clock_words(pace.latest, now))
    return _("At the pace of the design, {n} places an hour, it stands at about {finish}.").format(
        n=round(pace.places_per_hour), finish=finish)
