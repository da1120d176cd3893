"""The verdict: one function answers for a place, a part, a pair, a step and the stage; every page reads it."""

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.verdict.coming_out import place_out
from fieldapp.reports.verdict.pair import Pair, pair_verdict
from fieldapp.reports.verdict.part import part_verdict
from fieldapp.reports.verdict.place import place_verdict
from fieldapp.reports.verdict.planned import planned_strike
from fieldapp.reports.verdict.record import Act, First, Hands, Need, Sign, Verdict, WayOut
from fieldapp.reports.verdict.stage import places_now, stage_verdict, steps_now
from fieldapp.reports.verdict.step import step_verdict

__all__ = ["Act", "First", "Hands", "Need", "Pair", "Sign", "Verdict", "WayOut", "out_of_place", "places_now",
           "planned_strike", "stage_verdict", "steps_now", "verdict_of"]


def verdict_of(site: Setting, state: State, about: str | int | Pair = "") -> Verdict:
    """May this go in or come out, what first, who holds or pegs what, what governs: the same wherever it is asked.

    Parameters
    ----------
    site : Setting
        Kit, and the plan that is followed.
    state : State
        As the log stands.
    about : str, int or Pair, optional
        A place (`H22`), a printed ID (`OH-S073-C`), the number of a step, a pair of parts; the stage if empty.

    Returns
    -------
    Verdict
        `may` is green. Its number is that of the last entry it knows.

    Raises
    ------
    PartIdError, IndexError
        If there is no such part or step.
    """
    if isinstance(about, Pair):
        return pair_verdict(site, state, about)
    if isinstance(about, int):
        return step_verdict(site, state, about)
    if not about:
        return stage_verdict(site, state)
    return place_verdict(site, state, about) if about in site.kit.by_place else part_verdict(site, state, about)


def out_of_place(site: Setting, state: State, place: str) -> Verdict:
    """May a fitted place be emptied in any phase, as for an exchange; PlanError or KeyError if it is none."""
    return place_out(site, state, place)
