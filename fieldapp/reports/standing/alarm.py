"""What stands above everything else on every page: building is stopped, or the gust that was read is too much."""

from dataclasses import dataclass
from typing import Literal

from fieldapp.base.constants import WIND_ACTION_FRACTIONS
from fieldapp.log.alarm import Stop, WindRead
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.standing import Standing, standing
from fieldapp.reports.standing.winds import somebody_works
from fieldapp.statics.untested import UNTESTED_GUST_M_S

WindAct = Literal["wait", "clear"]
UNKNOWN_M_S = (3.4, 5.5)
"""While the frame is held or carried nobody can say which gust it bears: from the first on it is waited, from the
second on it is left. [m/s]

Source: Beaufort 3 (leaves move all the time) and 4 (dust rises) begin there, WMO-No. 8; that these are too gusty is our
choice. Test: tests/log/test_alarm.py"""


@dataclass(frozen=True, slots=True)
class WindAlarm:
    """A gust that was read, and what must be done at it."""

    read: WindRead
    act: WindAct
    """`wait`: nothing more goes on or comes out; `clear`: everybody away from the frame."""
    from_m_s: float
    """The gust from which on this is to be done, for what stands now. [m/s]"""


@dataclass(frozen=True, slots=True)
class Alarm:
    """What everybody must know at once."""

    stop: Stop | None = None
    wind: WindAlarm | None = None

    @property
    def mark(self) -> str:
        """Tells one alarm from another, for phones that ask whether theirs is still true; empty for none."""
        stop = self.stop.key if self.stop else ""
        wind = f"{self.wind.read.key}-{self.wind.act}" if self.wind else ""
        return f"{stop}/{wind}" if stop or wind else ""


def alarm_now(site: Setting, state: State) -> Alarm:
    """From the log, and from the gusts that what stands now bears.

    Notes
    -----
    A reading counts until the next one or the end of the raise, however old it is: that it has calmed down is known
    only when somebody has read it again.
    """
    return Alarm(state.stop, _wind(site, state))


def _wind(site: Setting, state: State) -> WindAlarm | None:
    read = state.wind_read
    if read is None or not state.fitted:
        return None
    found = standing(site, state)
    if found.verdict == "nothing stands" or not found.struts:
        return None
    first, last = _acts_m_s(found, working=somebody_works(site, state))
    if read.gust_m_s < min(first, last):
        return None
    return WindAlarm(read, "clear", last) if read.gust_m_s >= last else WindAlarm(read, "wait", first)


def _acts_m_s(found: Standing, *, working: bool) -> tuple[float, float]:
    """From which gusts to wait, and to leave: as it bears; as nobody knows while it is held, or was not tested."""
    if not found.tested:
        first, last = (share * UNTESTED_GUST_M_S for share in WIND_ACTION_FRACTIONS)
        return first, last
    if found.wind is None:
        return UNKNOWN_M_S
    act = found.wind.at_work
    return act.first_m_s, act.last_m_s if working else found.wind.act_last_m_s
