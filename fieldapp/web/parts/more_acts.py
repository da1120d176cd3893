"""What else can be written down about a part, by how it stands; the likeliest first."""

from dataclasses import dataclass

from fieldapp.log.state import PartState
from fieldapp.web.common.i18n import _


@dataclass(frozen=True, slots=True)
class MoreAct:
    """One way on: a page of its own."""

    endpoint: str
    words: str
    chief: bool = False


def more_acts(past: PartState) -> tuple[MoreAct, ...]:
    """Pages for a part in this state."""
    if past.condition == "scrapped":
        return (_history(),)
    hurt = past.condition != "sound" or bool(past.defects)
    acts = [MoreAct("mending.repair", _("It was mended"))] if hurt else []
    if past.condition == "quarantined":
        acts.append(MoreAct("mending.release", _("Release it for use"), chief=True))
    acts.append(MoreAct("bundles.store", _("It goes into a bundle")))
    if not past.missing and not past.fitted_at:
        acts.append(MoreAct("stock.missing", _("It is missing")))
    acts.append(MoreAct("stock.label", _("Print its label again")))
    if not hurt:
        acts.append(MoreAct("mending.repair", _("It was mended")))
    if not past.fitted_at:
        acts.append(MoreAct("mending.scrap", _("Scrap it"), chief=True))
    return (*acts, _history())


def _history() -> MoreAct:
    return MoreAct("history.page", _("All that happened to it"))
