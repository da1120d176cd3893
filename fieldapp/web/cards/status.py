"""How a place or a part stands now: a word, a shape, and what it waits for. Never colour alone."""

from dataclasses import dataclass, replace

from fieldapp.base.said import listed
from fieldapp.kit.kit import Part
from fieldapp.log.state import Defect, State
from fieldapp.plan.ways import named
from fieldapp.reports.verdict import Sign, Verdict, verdict_of
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _, in_words
from fieldapp.wording.verdict import verdict_detail, verdict_word


@dataclass(frozen=True, slots=True)
class Status:
    """What is shown beside a name."""

    shape: Sign
    word: str
    detail: str = ""
    waits_for: tuple[str, ...] = ()


def place_status(at: SiteMoment, place: str) -> Status:
    """The verdict on a place: fitted, may go in or come out now, waits, or stays empty."""
    state = at.state
    found = verdict_of(at.setting, state, place)
    if state.is_fitted(place) and not state.parts[state.fitted[place]].usable and not found.act:
        return Status("stop", _("A damaged part sits here"))
    if place not in at.plan.step_of and not state.is_fitted(place):
        return Status("empty", _("Stays empty"), _("The way '{way}' leaves this place out.").format(
            way=in_words(named(at.plan.way))))
    told = status_of(at, found)
    if found.sign != "fitted":
        return told
    reasons = listed([_defect_words(defect) for defect in state.parts[state.fitted[place]].defects])
    return replace(told, detail=_watch_words(reasons))      # as the page of the part says


def status_of(at: SiteMoment, found: Verdict) -> Status:
    """A verdict as it is shown beside a name."""
    ground = at.kit.design.ground
    return Status(found.sign, verdict_word(found, ground), verdict_detail(found, ground), found.waits_for)


def part_status(at: SiteMoment, part: Part, *, place: str | None) -> Status:
    """What to do with this part; a reason to keep it out comes before everything else."""
    state, here = at.state, at.state.parts[part.id]
    reasons = listed([_defect_words(defect) for defect in here.defects])
    if here.away is not None:
        gone = _("Given back to {kit}") if here.borrowed else _("Lent to {kit}")
        return Status("stop", gone.format(kit=here.away.other), _("It is not here."))
    if here.condition == "scrapped":
        return Status("stop", _("Scrapped"), reasons)
    if here.fitted_at and state.exchanging is not None and verdict_of(at.setting, state, here.fitted_at).act:
        found = place_status(at, here.fitted_at)            # the place says so, so the part says the same
        return replace(found, detail=" ".join(filter(None, (found.detail, reasons))))
    if here.condition == "quarantined" and here.fitted_at and state.phase != "striking":
        return Status("stop", _("Damaged, and still at {place}").format(place=here.fitted_at), reasons)
    if here.condition == "quarantined" and not here.fitted_at:
        return Status("stop", _("Damaged: do not use it"), reasons)
    if here.missing:
        return Status("stop", _("Missing"), _("If this is it, write it down as found."))
    if here.fitted_at and state.phase != "striking":
        return Status("fitted", _("Fitted at {place}").format(place=here.fitted_at), _watch_words(reasons))
    if state.phase == "striking" and not here.fitted_at:
        words = _("In bundle {name}").format(name=here.bundle) if here.bundle else _("Out of the frame")
        return Status("spare", words, _watch_words(reasons))
    if place is None:
        return Status("spare", _("Spare"), _watch_words(reasons))
    if state.is_fitted(place) and not here.fitted_at:
        return Status("spare", _("Its place is filled"), _("{part} sits at {place}.").format(
            part=state.fitted[place], place=place))
    found = place_status(at, place)
    return replace(found, detail=" ".join(filter(None, (found.detail, _watch_words(reasons)))))


def _defect_words(defect: Defect) -> str:
    words = in_words(defect.words)
    return _("{defect}, mended").format(defect=words) if defect.mended else words


def _watch_words(reasons: str) -> str:
    return _("Watch it: {reasons}").format(reasons=reasons) if reasons else ""


def place_of(state: State, part_id: str) -> str | None:
    """Where a part sits, or else the place it is meant for now; None for a spare."""
    fitted_at = state.parts[part_id].fitted_at
    if fitted_at:
        return fitted_at
    return state.home_of(part_id)


def labels_to_print(state: State) -> tuple[str, ...]:
    """IDs of parts at hand whose label cannot be read, and of new ones that have none yet."""
    return tuple(part.id for part in state.all_parts() if state.parts[part.id].label_gone
                 and not state.parts[part.id].missing and state.parts[part.id].condition != "scrapped")
