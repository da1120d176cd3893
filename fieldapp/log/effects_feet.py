"""What entries about feet do to the state: which of them pegs, anchors or ballast keep now."""

from fieldapp.base.said import Said, say
from fieldapp.log import kinds
from fieldapp.log.draft import Draft
from fieldapp.log.entry import Entry


def feet_held(draft: Draft, entry: Entry, data: kinds.FeetHeldData) -> Said | None:
    """These feet are kept, as far as they are in; one that was kept already stays as it was told first."""
    inside = [hub for hub in data.feet if hub in draft.fitted]
    if not inside:
        return say("{hub} was not in the frame", hub=data.feet[0])
    draft.held_feet = {**draft.held_feet, **{hub: entry.key for hub in inside if hub not in draft.held_feet}}
    return None


def feet_freed(draft: Draft, entry: Entry, data: kinds.FeetFreedData) -> Said | None:
    """Nothing keeps these feet any more, whichever of them were kept: nobody stays pegged by a slip of the log."""
    if not any(hub in draft.held_feet for hub in data.feet):
        return say("{hub} was not pegged or weighed down", hub=data.feet[0])
    draft.held_feet = {hub: key for hub, key in draft.held_feet.items() if hub not in data.feet}
    return None
