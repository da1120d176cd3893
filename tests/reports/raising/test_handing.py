"""Which step whom: one's own, else a free one, a different one for each phone, as long as nobody sleeps on it."""

from datetime import UTC, datetime, timedelta

import pytest

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.log.entry import Entry
from fieldapp.log.fold import fold
from fieldapp.reports.raising import handing
from fieldapp.reports.raising.handing import AT_WORK, Asker

NOW = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)
STEPS = ("H01", "H02", "H03")


def handed(steps, state, now, phone, **others):
    return handing.handed(steps, state, now, Asker(phone), **others)


@pytest.fixture
def state():
    kit = build_kit(Design.model_validate({"frame": {"diameter_m": 5.0}}))

    def told(*entries):
        """(phone, kind, step, minutes ago) of each."""
        log = [Entry(key=f"key {n}", kind=kind, part=None, place=at, who="", at=NOW - timedelta(minutes=ago),
                     sender=phone, data={"what": "step", "at": at}, order_ms=n)
               for n, (phone, kind, at, ago) in enumerate(entries)]
        return fold(kit, log)

    return told


def test_a_taken_step_stays_with_its_phone_and_others_get_another(state):
    now = state(("a", "duty_taken", "H01", 5))
    assert handed(STEPS, now, NOW, "a") == "H01"
    assert handed(STEPS, now, NOW, "b") == "H02"
    assert handed(STEPS, now, NOW + AT_WORK, "b") == "H01", "nobody was heard of for long: it is free again"
    assert handed(("H01",), now, NOW, "b") is None


def test_phones_at_work_without_a_step_are_offered_different_ones(state):
    now = state(("a", "duty_taken", "H09", 9), ("b", "duty_taken", "H08", 8), ("a", "duty_left", "H09", 2),
                ("b", "duty_left", "H08", 1))
    assert [handed(STEPS, now, NOW, phone) for phone in "abc"] == ["H01", "H02", "H03"]
    assert [handed(STEPS, now, NOW + AT_WORK, phone) for phone in "abc"] == ["H01"] * 3, "all have gone home"


def test_a_team_gets_of_its_own_run_and_what_another_phone_was_shown_last_goes_to_nobody_else(state):
    now = state()
    teams = [handing.handed(STEPS, now, NOW, Asker("a", team, 3)) for team in (1, 2, 3)]
    assert teams == list(STEPS)
    taken = state(("b", "duty_taken", "H02", 1))
    assert handing.handed(STEPS, taken, NOW, Asker("a", 2, 3)) == "H01", "its own run is in hand: help beside it"
    assert handed(STEPS, now, NOW, "a", elsewhere={"H01"}) == "H02"
    assert handed(STEPS, now, NOW, "a", elsewhere={"H01", "H02", "H03"}) == "H01", "rather the same than none"
    assert handed(STEPS, now, NOW, "a", elsewhere={"H01"}, last="H03") == "H03", "what it was offered stays"
