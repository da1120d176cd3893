"""Fit-up in words: the rule that everybody reads, and the gap that is usual where a ring closes."""

from dataclasses import replace

from fieldapp.plan.fitup import FitUp, LevelGap
from fieldapp.plan.plan import Insertion, Step
from fieldapp.wording.fit import fit_rules, gap_question
from fieldapp.wording.raising import Run, waits_note

GAPS = LevelGap(1, "S009", 0.0, 212.8, 522.8), LevelGap(5, "S159", 0.0, 2.8, 6.9)
FIT = FitUp(1.0, 0.5, 0.7021, "S007", 0.0, "S007", 0.2, 0.1, 0.28, 0.14, GAPS)


class _Hub:
    def __init__(self, on_ground: bool) -> None:
        self.on_ground = on_ground


class _Frame:
    """A frame whose hubs H0… are on the ground."""

    def hub(self, name: str) -> _Hub:
        return _Hub(name.startswith("H0"))


def run_of(hub: str, strut: str) -> Run:
    return Run("ring", (Step(1, hub, 1, (Insertion(strut, hub, 1, 1, closes=True),), ()),))


def test_the_share_is_rounded_up_and_nothing_is_said_where_nothing_is_computed() -> None:
    (rule,) = fit_rules(FIT)
    assert "lengths within ± 1 mm and arms within ± 0.5°, one frame in twenty has more than 71% of the" in rule
    assert fit_rules(None) == ()


def test_a_gap_is_asked_where_the_plan_closes_a_ring_above_the_ground() -> None:
    assert list(gap_question(FIT, run_of("H59", "S159"), _Frame())) == [
        "S159 closed it with a gap of at most 7 mm; more: a strut may sit at the wrong place"]
    assert list(gap_question(FIT, run_of("H59", "S160"), _Frame())) == []
    assert list(gap_question(FIT, run_of("H09", "S009"), _Frame())) == []
    assert list(gap_question(None, run_of("H59", "S159"), _Frame())) == []


def test_a_step_says_what_it_waits_for() -> None:
    step = Step(1, "H23", 2, (), ("H09", "H08"))
    assert waits_note(step) == "Waits for H08 and H09 and what ties them."
    assert waits_note(replace(step, waits_for=("H08",))) == "Waits for H08 and what ties it."
    assert waits_note(replace(step, waits_for=())) == ""
