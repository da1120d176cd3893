"""What stands now, in words for everybody on site: what to hold, what wind it stands, when to clear it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.pegs import HeldFoot
from fieldapp.reports.standing import Standing, standing
from fieldapp.reports.standing.alarm import alarm_now
from fieldapp.reports.standing.winds import somebody_works
from fieldapp.reports.verdict import verdict_of
from fieldapp.web.common.i18n import _
from fieldapp.web.common.page import Shown, shown
from fieldapp.wording import standing as words_standing
from fieldapp.wording.pegs import each_must, not_pegged
from fieldapp.wording.verdict import below_words
from fieldapp.wording.winds import at_rest_lines

FAST_ENOUGH_M_S = 50.0
"""Nobody raises a frame in such a wind; a higher limit is not worth a line."""
LIFTS_AT_ONCE_M_S = 1.0
"""A ground hub that lifts below this wants its peg now."""
MOST_LINES, MOST_PLACES = 4, 8
"""Lines and places that stand above everything else on a phone."""


@dataclass(frozen=True, slots=True)
class StageNow:
    """The stage as everybody must know it."""

    clear: bool
    """True: stop, and clear the frame."""
    holds: tuple[str, ...] = ()
    heads: tuple[str, ...] = ()
    """What to do at once: clear, carry on carrying, hold, keep in hand; empty if hands are free, and while the gust
    that was read wants everybody away, which stands above every page."""
    lines: tuple[str, ...] = ()
    """From where, how heavy."""
    care: tuple[str, ...] = ()
    """On which hubs nobody may lean."""
    wind: tuple[str, ...] = ()
    """With the two points at which to act."""
    replace: tuple[str, ...] = ()
    """Places in the frame whose part may not be used: another must go there; empty at the strike and during an
    exchange."""

    @property
    def speaks(self) -> bool:
        """True if hands are needed, or a part must be replaced."""
        return bool(self.heads or self.replace)

    @property
    def told(self) -> Shown:
        """The lines that find room."""
        return shown(self.lines, MOST_LINES)

    @property
    def first_holds(self) -> tuple[str, ...]:
        """Hubs to hold that are named by a press each."""
        return self.holds[:MOST_PLACES]

    @property
    def to_replace(self) -> tuple[str, ...]:
        """Places where another part must go, named by a press each; none while the frame must be cleared."""
        return () if self.clear else self.replace[:MOST_PLACES]


def stage_now(site: Setting, state: State) -> StageNow:
    """In words, from the stage analysis of what is really fitted."""
    found, below = standing(site, state), below_words(verdict_of(site, state).first)
    open_feet = _pegs_first(found, state)
    if _blows_too_hard(site, state):
        return StageNow(clear=True, wind=wind_lines(found, site, state))
    return StageNow(found.verdict == "clear", found.held_hubs,
                    (*(() if found.verdict == "clear" or not below else (f"{below}.",)), *_heads(found),
                     *((not_pegged(open_feet),) if open_feet else ())),
                    (*_falls(found), *words_standing.carried_words(found)[1:], *words_standing.hold_words(found),
                     *words_standing.limit_words(found, "hold"),
                     *((each_must(site.kit.design.ground, open_feet),) if open_feet else ())),
                    words_standing.limit_words(found, "lean"), wind_lines(found, site, state),
                    _to_replace(state))


def _falls(found: Standing) -> tuple[str, ...]:
    """Why it is held."""
    untested = "" if found.tested else _("Strength: not tested.")
    return tuple(filter(None, (words_standing.falls_words(found), untested))) if found.verdict == "hold" else ()


def _to_replace(state: State) -> tuple[str, ...]:
    return () if state.phase == "striking" or state.exchanging is not None else tuple(
        sorted(place for place, part in state.fitted.items() if not state.parts[part].usable))


def _blows_too_hard(site: Setting, state: State) -> bool:
    """True while the gust that was read wants everybody away: then nobody is told to hold, to peg or to replace."""
    wind = alarm_now(site, state).wind
    return wind is not None and wind.act == "clear"


def _pegs_first(found: Standing, state: State) -> tuple[HeldFoot, ...]:
    """Feet that should be pegged already; none where something else comes first: at the strike, whose pages name them
    by themselves, during an exchange, while the frame is to be cleared."""
    later = state.phase == "striking" or state.exchanging is not None or found.verdict == "clear"
    return () if later else found.unpegged


def _heads(found: Standing) -> Iterator[str]:
    """Everything that hands must do now; a strut that one arm holds alone is a lever, so it comes as early."""
    yield from words_standing.carried_words(found)[:1]
    if found.verdict in ("hold", "clear"):
        yield words_standing.hold_now(found) if found.verdict == "hold" else words_standing.headline(found)
    if found.verdict != "clear":
        yield from words_standing.in_hand_words(found)
        yield from words_standing.free_ends_words(found)


def wind_lines(found: Standing, site: Setting, state: State) -> tuple[str, ...]:
    """What to do at which gusts, from when it must be pegged; or why none can be given."""
    wind, pegged = found.wind, state.held_feet
    if found.verdict == "nothing stands" or not found.struts:
        return ()
    if wind is None:
        return (_("While it is held or carried there is no wind limit: in gusty wind do not go on."),)
    lines: tuple[str, ...] = ()
    if somebody_works(site, state) or not found.tested:
        lines = words_standing.limit_words(found, "wind")
    elif wind.speed_m_s < FAST_ENOUGH_M_S:
        lines = at_rest_lines(wind)
    if all(foot in pegged for foot in found.stands_on):
        return lines
    if wind.lift_off_m_s < LIFTS_AT_ONCE_M_S:
        return (*lines, _("Peg or weigh down the ground hubs before any wind."))
    if wind.lift_off_m_s < wind.speed_m_s:
        return (*lines, _("Peg or weigh down the ground hubs: gusts of {speed} m/s lift one.").format(
            speed=math.floor(wind.lift_off_m_s)))
    return lines
