"""What stands above every page: building is stopped, or the wind is too much; and whether it wants a press."""

from dataclasses import dataclass, replace

from flask import Flask

from fieldapp.base.errors import RaisebookError
from fieldapp.reports.standing.alarm import Alarm, alarm_now
from fieldapp.web.common.context import sender, site, state, who
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.practice import is_practice
from fieldapp.web.common.rights import is_chief, may_write
from fieldapp.wording.alarm import SHOUT, stop_head, stop_lines, wind_after, wind_head


@dataclass(frozen=True, slots=True)
class AlarmView:
    """The alarm in words, as one phone sees it."""

    mark: str = ""
    """Phones compare it with what they show."""
    shout: str = ""
    """The first line wherever building is stopped."""
    head: str = ""
    lines: tuple[str, ...] = ()
    stop_key: str = ""
    may_confirm: bool = False
    """True until this phone has pressed that it knows."""
    may_lift: bool = False
    wind: tuple[str, ...] = ()
    clear: bool = False
    """True if everybody must go away from the frame."""
    practice: str = ""
    """That nothing written down counts; empty where it does."""

    @property
    def speaks(self) -> bool:
        """True if there is anything to say."""
        return bool(self.head or self.wind or self.practice)

    @property
    def look(self) -> str:
        """Loud until this phone has confirmed; quiet where nothing but practice is said."""
        if self.may_confirm:
            return "alarm loud"
        return "alarm" if self.head or self.wind else "alarm only-practice"


def alarm_here() -> Alarm:
    """The alarm of this moment; a frame whose statics have no answer still has its stop."""
    try:
        return alarm_now(site().book.site, state())
    except RaisebookError:
        return Alarm(state().stop)


def alarm_mark() -> str:
    """Tells what stands above every page from what stood there before, practice included."""
    return f"practice {alarm_here().mark}" if is_practice() else alarm_here().mark


def alarm_view() -> AlarmView:
    """In words."""
    practice = _("Practice: nothing written down here counts. It is thrown away afterwards.") if is_practice() else ""
    return replace(_alarm_words(), mark=alarm_mark(), practice=practice)


def _alarm_words() -> AlarmView:
    found, now = alarm_here(), site().clock()
    wind = (in_words(wind_head(found.wind, state().phase, now)), in_words(wind_after())) if found.wind else ()
    clear = found.wind is not None and found.wind.act == "clear"
    if found.stop is None:
        return AlarmView(found.mark, wind=wind, clear=clear)
    knows = (sender() or who() or "unknown") in found.stop.holders
    return AlarmView(
        found.mark, shout=_(SHOUT), head=in_words(stop_head(found.stop, now)),
        lines=tuple(map(in_words, stop_lines(state().phase))), stop_key=found.stop.key,
        may_confirm=may_write() and not knows, may_lift=is_chief(), wind=wind, clear=clear)


def install(app: Flask) -> None:
    """Give it to every template."""
    app.jinja_env.globals["alarm_of"] = alarm_view
