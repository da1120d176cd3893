"""The ways of raising side by side, and which one to take."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fieldapp.base.errors import PlanError
from fieldapp.base.said import Row, Said, say
from fieldapp.kit.kit import Kit
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.hand_lifts import first_not_by_hand
from fieldapp.plan.judge import Depth, Judged, judge
from fieldapp.plan.lifting import lifters_for_mass
from fieldapp.plan.plan import Plan
from fieldapp.plan.planner import way_names, way_plans
from fieldapp.plan.stage_row import broken
from fieldapp.plan.teams import TEAM_PEOPLE, Timetable, team_count, timetable


@dataclass(frozen=True, slots=True)
class Effort:
    """What a way asks of the crew; known before any statics."""

    holds_at_most: int
    people: int
    """One team at work, everybody who holds, and everybody who carries, at the busiest step."""
    time: Timetable
    highest_mm: float
    """Highest working height."""
    out_of_reach: tuple[str, ...]
    """Hub places that the crew's equipment does not reach."""
    not_by_hand: Said | None = None
    """Of a way with a lift that hands do not do: which, and by which rule."""


@dataclass(frozen=True, slots=True)
class WayReport:
    """One way, judged."""

    way: str
    judged: Judged
    effort: Effort
    people_at_hand: int

    @property
    def falls_if_let_go(self) -> tuple[int, ...]:
        """Numbers of the steps after which the stage stands only while its holds are held."""
        return tuple(row.step for row in self.judged.rows if not row.stands)

    @property
    def tested(self) -> bool:
        """False where nobody has tested what the parts bear: uses are then told to none."""
        return all(step.strength_tested for step in self.judged.plan.steps)

    @property
    def rank(self) -> tuple[object, ...]:
        """Lower is better: nothing breaks, or as little as may be; then enough people, all in reach, little to hold."""
        breaks = self.judged.breaks
        return (breaks, self.judged.worst.worst if breaks else 0.0, *effort_rank(self.effort, self.people_at_hand))

    @property
    def verdict(self) -> Said:
        """The gravest thing to say about it."""
        worst, effort = self.judged.worst, self.effort
        if self.judged.breaks:
            return broken(worst)
        if effort.not_by_hand is not None:
            return effort.not_by_hand
        if effort.people > self.people_at_hand:
            return say("too few people: needs {needed}, there are {there}", needed=effort.people,
                       there=self.people_at_hand)
        if effort.out_of_reach:
            return say("out of reach: {hubs}", hubs=Row(effort.out_of_reach, most=6))
        if self.falls_if_let_go:
            return say("stands only while held, at {count} steps from step {step}", count=len(self.falls_if_let_go),
                       step=self.falls_if_let_go[0])
        if not self.tested:
            return say("its shape stands at every step; strength not tested")
        return say("stands at every step; hold {count} at most", count=effort.holds_at_most) if effort.holds_at_most \
            else say("stands at every step; nothing to hold")


@dataclass(frozen=True, slots=True)
class Comparison:
    """All ways, in the order they are shown, and the one to take."""

    reports: tuple[WayReport, ...]
    recommended: str

    def report(self, way: str) -> WayReport:
        """The report of a way; PlanError if it was not compared."""
        for report in self.reports:
            if report.way == way:
                return report
        raise PlanError(f"there is no way of raising called '{way}' here; there are "
                        f"{', '.join(report.way for report in self.reports)}")


def effort_of(kit: Kit, plan: Plan) -> Effort:
    """What a plan asks of the crew."""
    crew = kit.design.crew
    holds = [step.holds for step in plan.steps]
    at_most = max((len(held) for held in holds), default=0)
    table = timetable(plan.steps, teams=team_count(crew, at_most), minutes_per_step=crew.minutes_per_step, holds=holds)
    people = max((TEAM_PEOPLE + len(step.holds) + _carriers(kit, plan, step.number) for step in plan.steps), default=0)
    return Effort(at_most, people, table, max((step.height_mm for step in plan.steps), default=0.0),
                  tuple(dict.fromkeys(step.hub for step in plan.steps if not step.reachable)),
                  first_not_by_hand(kit, plan))


def _carriers(kit: Kit, plan: Plan, number: int) -> int:
    """People who carry at a step: at least one a hub, and as many as the piece's mass needs."""
    step = plan.steps[number - 1]
    if not step.carried_at:
        return 0
    done = [s for s in plan.steps[:None if step.joins else number] if s.piece == step.piece]
    places = {place for s in done for place in (s.hub, *(insertion.strut for insertion in s.struts))}
    return max(len(step.carried_at), lifters_for_mass(sum(kit.by_place[place].mass_kg for place in places)))


def effort_rank(effort: Effort, people: int) -> tuple[bool, int, int, float, float]:
    """Too few people, or a lift that hands do not do; hubs out of reach; held at most; held hubs × minutes; minutes.

    So a way that lifts too high or too much is not recommended over a higher platform.
    """
    beyond = effort.people > people or effort.not_by_hand is not None
    return (beyond, len(effort.out_of_reach), effort.holds_at_most, effort.time.hold_minutes, effort.time.total_min)


def judged_way(case: Case, way: str, *, depth: Depth = "whole") -> Judged:
    """The best order of a way, judged; the plain order instead if only that one breaks no arm."""
    return judged_orders(case, way_plans(case.kit, way), depth=depth)


def judged_orders(case: Case, plans: Sequence[Plan], *, depth: Depth = "whole") -> Judged:
    """The first of these orders of one way, judged; another if that breaks arms and the other breaks fewer."""
    judged = judge(case, plans[0], depth=depth)
    if not judged.breaks or len(plans) == 1 or judged.plan.way not in _PLAIN_MATTERS:
        return judged
    return min([judged, *(judge(case, plan, depth=depth) for plan in plans[1:])],
               key=lambda other: (other.breaks, other.worst.worst))


_PLAIN_MATTERS = ("ring by ring", "crown set on last")


def compare(kit: Kit) -> Comparison:
    """Judge every way that the design allows and recommend one.

    Parameters
    ----------
    kit : Kit

    Returns
    -------
    Comparison

    Raises
    ------
    PlanError, StaticsError
        If an order cannot be followed or the statics have no answer.
    """
    case = case_of(kit)
    reports = tuple(way_report(kit, judged_way(case, way)) for way in way_names(kit))
    for report in reports:
        report.judged.stages.clear()  # nobody asks all of them for the wind
    return Comparison(reports, best(reports).way)


def way_report(kit: Kit, judged: Judged) -> WayReport:
    """The report of one judged way."""
    return WayReport(judged.plan.way, judged, effort_of(kit, judged.plan), kit.design.crew.people)


def best(reports: Iterable[WayReport]) -> WayReport:
    """The report that ranks first; among equals the one shown first."""
    return min(reports, key=lambda report: report.rank)


def refuse_breaking(report: WayReport, *, chosen: bool) -> None:
    """Refuse a way that is computed to break.

    Raises
    ------
    PlanError
        If it breaks: with what gives way, and what would help. `chosen`: the design names this very way; else it is
        the least bad of all.
    """
    plan = report.judged.plan
    if plan.breaks is None or plan.helps is None:
        return
    if chosen:
        raise PlanError(say(
            "raising.way is \"{way}\", but it {verdict}. What would help: {helps}. Choose \"recommended\" or another "
            "way; to take it all the same, write accept_breaking = true under [raising]", way=report.way,
            verdict=plan.breaks, helps=plan.helps))
    raise PlanError(say(
        "every way of raising is computed to break. The least bad is \"{way}\", but it {verdict}. What would help: "
        "{helps}. To make the kit all the same, write accept_breaking = true under [raising]: every page and sheet "
        "then says so", way=report.way, verdict=plan.breaks, helps=plan.helps))


def uses_by_step(reports: Sequence[WayReport]) -> dict[str, tuple[float, ...]]:
    """Way → share of what gives way first, under 1.35 × weight, after each step: the picture, one line a way."""
    return {report.way: tuple(row.worst for row in report.judged.rows) for report in reports}
