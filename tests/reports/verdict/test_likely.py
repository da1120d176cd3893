"""What stands after the next step is judged before anybody asks, and is what the entry then finds."""

from fieldapp.reports import standing as room
from fieldapp.reports.standing import standing
from fieldapp.reports.verdict import steps_now
from fieldapp.reports.verdict.likely import foresee_next


def test_the_next_entry_finds_what_was_foreseen_and_nothing_else_is_told(small_shed, monkeypatch):
    def green():
        return steps_now(small_shed.site, small_shed.state)

    def press(number, act="fitted"):
        open_now = [place for place in small_shed.site.plan.steps[number - 1].sequence
                    if small_shed.state.is_fitted(place) == (act != "fitted")]
        small_shed.log("step_done", places=open_now, act=act)

    small_shed.log("raise_started", name="spring", by="chief", reason="test")
    while len(small_shed.state.fitted) < 24:
        press(green()[0])
    assert foresee_next(small_shed.site, small_shed.state, is_now=lambda: True) == len(green())
    asked = []
    monkeypatch.setattr(room, "judged", lambda *given: asked.append(given))
    press(green()[-1])
    found = standing(small_shed.site, small_shed.state)
    assert not asked, "it was judged before"
    monkeypatch.undo()
    fresh = room.judged(room.weakened_case(room.case_of(small_shed.site.kit), room.own_numbers(
        small_shed.state, small_shed.site.checklist)), room.judging_of(small_shed.site, small_shed.state))
    assert (found.limits, found.verdict, found.holds) == (fresh.limits, fresh.verdict, fresh.holds)
    assert foresee_next(small_shed.site, small_shed.state, is_now=lambda: False) == 0
    small_shed.log("strike_started")
    foresee_next(small_shed.site, small_shed.state, is_now=lambda: True)
    monkeypatch.setattr(room, "judged", lambda *given: asked.append(given))
    press(green()[0], "taken_down")
    standing(small_shed.site, small_shed.state)
    assert not asked
