"""How a place or a part stands now, for the pages: words and shape are those of `wording.status`."""

from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.reports.verdict import Verdict
from fieldapp.web.common.context import SiteMoment
from fieldapp.wording import status as words
from fieldapp.wording.status import Status

__all__ = ["Status", "labels_to_print", "part_status", "place_of", "place_status", "status_of"]


def place_status(at: SiteMoment, place: str) -> Status:
    """The verdict on a place: fitted, may go in or come out now, waits, or stays empty."""
    return words.place_status(at.setting, at.state, place)


def status_of(at: SiteMoment, found: Verdict) -> Status:
    """A verdict as it is shown beside a name."""
    return words.status_of(found, at.kit.design.ground)


def part_status(at: SiteMoment, part: Part, *, place: str | None) -> Status:
    """What to do with this part; a reason to keep it out comes before everything else."""
    return words.part_status(at.setting, at.state, part, place=place)


def place_of(state: State, part_id: str) -> str | None:
    """Where a part sits, or else the place it is meant for now; None for a spare."""
    fitted_at = state.parts[part_id].fitted_at
    if fitted_at:
        return fitted_at
    return state.home_of(part_id)


def labels_to_print(state: State) -> tuple[str, ...]:
    """IDs of parts at hand whose label cannot be read, and of new ones that have none yet."""
    return tuple(part.id for part in state.all_parts() if state.parts[part.id].label_gone
                 and not state.parts[part.id].missing and state.parts[part.id].condition != "scrapped"
                 and state.parts[part.id].away is None)
