"""Building is stopped by anybody and goes on by the chief alone; gusts that were read."""

from dataclasses import replace

import pytest

from fieldapp.log.alarm import WindRead
from fieldapp.log.kinds_alarm import FASTEST_M_S
from fieldapp.reports.standing import alarm as alarms
from fieldapp.reports.standing.alarm import alarm_now
from fieldapp.statics.wind import WindLimit


def test_anybody_stops_everybody_confirms_and_the_chief_alone_lets_go_on(crew):
    stop = crew.done("stopped", sender="phone 7", words="a hub cracked")
    assert "building is stopped already" in crew.refused("stopped", sender="phone 3")
    crew.done("stop_seen", sender="phone 3", stop=stop.key)
    assert "you have said so already" in crew.refused("stop_seen", sender="phone 3", stop=stop.key)
    assert crew.book.state.stop.holders == {"phone 7", "phone 3"}
    assert "lifted by the chief alone" in crew.refused("withdrawn", sender="phone 7", entry=stop.key, reason="a slip")
    assert "needs the chief's rights" in crew.refused("stop_lifted", sender="phone 7")
    crew.done("stop_lifted", sender="phone 1", chief=True)
    assert crew.book.state.stop is None
    crew.done("stopped", sender="phone 3")
    assert "that stop is over" in crew.refused("stop_seen", sender="phone 4", stop=stop.key)   # it waited in a phone
    assert crew.book.state.stop.holders == {"phone 3"}


def test_a_gust_is_a_number_that_winds_have(crew):
    for wrong in (-1.0, FASTEST_M_S + 1, "much"):
        assert "cannot take" in crew.refused("wind_read", gust_m_s=wrong)
    crew.done("wind_read", gust_m_s=6.0)
    crew.done("wind_read", gust_m_s=2.5)
    assert crew.book.state.wind_read.gust_m_s == 2.5


@pytest.mark.parametrize(("gust", "act"), [(4.9, None), (5.0, "wait"), (6.9, "wait"), (7.0, "clear"), (40.0, "clear")])
def test_what_is_done_at_a_gust_follows_from_what_stands(crew, site, monkeypatch, gust, act):
    limit = WindLimit.__new__(WindLimit)
    object.__setattr__(limit, "act_first_m_s", 5.0)
    object.__setattr__(limit, "act_last_m_s", 7.0)
    object.__setattr__(limit, "governs", None)
    assert _act(crew, site, monkeypatch, gust, limit) == act


def test_while_nobody_knows_what_it_bears_a_light_breeze_is_too_much(crew, site, monkeypatch):
    # Beaufort 3 begins at 3.4 m/s, 4 at 5.5 m/s: WMO-No. 8, part I, chapter 5.
    acts = [_act(crew, site, monkeypatch, gust, None) for gust in (3.3, 3.4, 5.4, 5.5)]
    assert acts == [None, "wait", "wait", "clear"]


def _act(crew, site, monkeypatch, gust, limit):
    class Found:
        verdict, struts, wind, tested = "hold", ("S001",), limit, True

    monkeypatch.setattr(alarms, "standing", lambda _site, _state: Found)
    state = replace(crew.book.state, fitted={"H01": "OH-H01-6"},
                    wind_read=WindRead("key", gust, "crew 1", crew.now))
    found = alarm_now(site, state).wind
    return found.act if found else None
