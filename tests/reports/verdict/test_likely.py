"""What stands after the next step is judged before anybody asks, and is what the entry then finds."""

import pytest
from reports.conftest import Hall, Shed
from small_frame import tiny_design

from fieldapp.reports import standing as room
from fieldapp.reports.standing import standing
from fieldapp.reports.verdict import step_verdict, steps_now
from fieldapp.reports.verdict.likely import foresee_next


@pytest.fixture
def asked(monkeypatch):
    """Every question that was not answered before."""
    found = []
    for name in ("judged", "borne", "gives_way"):
        plain = getattr(room, name)
        monkeypatch.setattr(room, name, lambda *given, plain=plain: found.append(given) or plain(*given))
    return found


def _green(shed):
    return steps_now(shed.site, shed.state)


def _press(shed, number, act="fitted"):
    open_now = [place for place in shed.site.plan.steps[number - 1].sequence
                if shed.state.is_fitted(place) == (act != "fitted")]
    shed.log("step_done", places=open_now if act == "fitted" else open_now[::-1], act=act)


def _cards(shed):
    return standing(shed.site, shed.state), [step_verdict(shed.site, shed.state, number) for number in _green(shed)]


def test_the_next_entry_finds_what_was_foreseen_and_nothing_else_is_told(asked):
    shed = Shed(Hall(tiny_design()))
    shed.log("raise_started", name="spring", by="chief", reason="test")
    for number in range(1, 7):
        _press(shed, number)
    assert foresee_next(shed.site, shed.state, is_now=lambda: False) == 0
    for act in ("fitted", "taken_down"):
        assert foresee_next(shed.site, shed.state, is_now=lambda: True) == len(_green(shed))
        _press(shed, _green(shed)[-1], act)
        asked.clear()
        found, _verdicts = _cards(shed)
        assert not asked, f"after {act} all of it was judged before"
        by = room.judging_of(shed.site, shed.state)
        fresh = room.judged(room.weakened_case(room.case_of(shed.site.kit), by.own), by)
        assert (found.limits, found.verdict, found.holds) == (fresh.limits, fresh.verdict, fresh.holds)
        if act == "fitted":
            shed.log("strike_started")
