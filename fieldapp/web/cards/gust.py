"""The gust to act at, for the top of every page while anything stands."""

from fieldapp.base.errors import RaisebookError
from fieldapp.base.remembered import remembered
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.standing import standing
from fieldapp.reports.standing.winds import somebody_works
from fieldapp.wording.winds import GustMoment, gust_line


@remembered(4)
def gust_moment(setting: Setting, state: State) -> GustMoment | None:
    """What stands now, as far as the wind asks; None where nothing stands, or the statics have no answer."""
    if not state.fitted:
        return None
    try:
        found = standing(setting, state)
    except RaisebookError:
        return None
    if found.verdict == "nothing stands" or not found.struts:
        return None
    loose = not all(foot in state.held_feet for foot in found.stands_on)
    return GustMoment(found.wind, striking=state.phase == "striking", loose=loose, tested=found.tested,
                      working=somebody_works(setting, state))


def gust_words(setting: Setting, state: State) -> str:
    """The line itself; empty where there is nothing to say."""
    found = gust_moment(setting, state)
    return gust_line(found) if found else ""
