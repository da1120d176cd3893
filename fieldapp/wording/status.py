"""How a place or a part stands now: a word, a shape, what it waits for; page, pocket copy and terminal say the same.

Never colour alone: the shape has a word.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fieldapp.base.clock import clock_words
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _
from fieldapp.frame.ground import GroundSection
from fieldapp.kit.kit import Part
from fieldapp.log.rules import Setting
from fieldapp.log.state import Defect, State
from fieldapp.plan.ways import named
from fieldapp.reports.parts import may_go_in
from fieldapp.reports.verdict import Sign, Verdict, verdict_of
from fieldapp.statics.causes import gives_way
from fieldapp.wording.place import sentence
from fieldapp.wording.verdict import hands_lines, verdict_detail, verdict_word


@dataclass(frozen=True, slots=True)
class Status:
    """What is shown beside a name."""

    shape: Sign
    word: str
    detail: str = ""
    waits_for: tuple[str, ...] = ()


def place_status(site: Setting, state: State, place: str) -> Status:
    """The verdict on a place: fitted, may go in or come out now, waits, or stays empty."""
    found = verdict_of(site, state, place)
    if state.is_fitted(place) and not state.parts[state.fitted[place]].usable and not found.act:
        return Status("stop", _("A damaged part sits here"))
    if place not in site.plan.step_of and not state.is_fitted(place):
        return Status("empty", _("Stays empty"), _("The way '{way}' leaves this place out.").format(
            way=in_words(named(site.plan.way))))
    told = status_of(found, site.kit.design.ground)
    if found.sign != "fitted":
        return told
    reasons = listed([_defect_words(defect) for defect in state.parts[state.fitted[place]].defects])
    return replace(told, detail=_watch_words(reasons))      # as the page of the part says


def status_of(found: Verdict, ground: GroundSection) -> Status:
    """A verdict as it is shown beside a name."""
    return Status(found.sign, verdict_word(found, ground), verdict_detail(found, ground), found.waits_for)


def part_status(site: Setting, state: State, part: Part, *, place: str | None) -> Status:
    """What to do with this part; a reason to keep it out comes before everything else."""
    here = state.parts[part.id]
    reasons = listed([_defect_words(defect) for defect in here.defects])
    if here.away is not None:
        gone = _("Given back to {kit}") if here.borrowed else _("Lent to {kit}")
        return Status("stop", gone.format(kit=here.away.other), _("It is not here."))
    if here.condition == "scrapped":
        return Status("stop", _("Scrapped"), reasons)
    if here.fitted_at and state.exchanging is not None and verdict_of(site, state, here.fitted_at).act:
        found = place_status(site, state, here.fitted_at)       # the place says so, so the part says the same
        return replace(found, detail=" ".join(filter(None, (found.detail, reasons))))
    if here.condition == "quarantined" and here.fitted_at and state.phase != "striking":
        return Status("stop", _("Damaged, and still at {place}").format(place=here.fitted_at), reasons)
    if here.condition == "quarantined" and not here.fitted_at:
        return Status("stop", _("Damaged: do not use it"), reasons)
    if here.missing:
        return Status("stop", _("Missing"), _("If this is it, write it down as found."))
    if not here.fitted_at and state.phase != "striking" and here.usable_from is not None \
            and not may_go_in(state, part.id):
        time = clock_words(here.usable_from, state.entries[-1].at)
        return Status("stop", _("Not dry yet: usable from {time}").format(time=time), reasons)
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
    found = place_status(site, state, place)
    return replace(found, detail=" ".join(filter(None, (found.detail, _watch_words(reasons)))))


def _defect_words(defect: Defect) -> str:
    words = in_words(defect.words)
    return _("{defect}, mended").format(defect=words) if defect.mended else words


def _watch_words(reasons: str) -> str:
    return _("Watch it: {reasons}").format(reasons=reasons) if reasons else ""


def status_lines(site: Setting, state: State, part: Part) -> tuple[str, ...]:
    """The whole of it for who has no page: the word, why, who holds what, what gives way first, as of which entry."""
    return tuple(_lines(site, state, part))


def _lines(site: Setting, state: State, part: Part) -> Iterator[str]:
    place = state.parts[part.id].fitted_at or state.home_of(part.id)
    told, found = part_status(site, state, part, place=place), verdict_of(site, state, part.id)
    yield from (f"{line.rstrip('.')}." for line in (told.word, told.detail) if line)
    if told.shape == found.sign:        # else it is kept out, whatever its place says
        yield from hands_lines(found)
        if found.may and found.governs:
            yield sentence(f"{in_words(gives_way(found.governs))}.")
    yield _("As of entry {n}.").format(n=found.number)
