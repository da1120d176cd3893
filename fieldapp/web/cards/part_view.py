"""All that a page says of one part: itself, the place it goes to, what was written down about it."""

from dataclasses import dataclass

from fieldapp.base.numbers import decimal
from fieldapp.frame.frame import Frame
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import short_name
from fieldapp.kit.sections import drawn_as, told_section
from fieldapp.log.codes import carried
from fieldapp.log.state import PartState, State
from fieldapp.web.cards.entries import EntryLine, Reader, part_entries
from fieldapp.web.cards.place_view import PlaceView, place_view
from fieldapp.web.cards.status import Status, part_status, place_of
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.page import Shown, shown
from fieldapp.wording.carried import carries_words
from fieldapp.wording.place import end_goes, handed_words, lower_first
from fieldapp.wording.trust import trust_said

MOST_PLACES = 18
"""Places for a spare that are named."""


@dataclass(frozen=True, slots=True)
class Acts:
    """What may be written down about a part now; damage always may."""

    fit: bool = False
    fit_anyway: bool = False
    """Before its turn."""
    take_down: bool = False
    """It sits in the frame and may not come out yet: offered out of the finger's way."""
    take_out: bool = False
    """The frame comes down, and it is its turn."""
    store: bool = False
    find: bool = False
    here: bool = True
    """False of a part that is at another kit: all of it is written down there."""


@dataclass(frozen=True, slots=True)
class PartView:
    """One part in words."""

    id: str
    big: str
    """What people call out: `S073`."""
    kind: str
    what: str
    letter: str
    bands: int
    headline: str
    status: Status
    place: PlaceView | None
    end: int | None
    spare_for: tuple[str, ...]
    """Places of its class that a spare could fill, those in need first."""
    acts: Acts
    entries: tuple[EntryLine, ...]
    notes: tuple[str, ...] = ()
    """What stands on trust: its ID was never read, or it was used though the kit was not fit."""
    lost: bool = False
    """It may not be used as it is, or is missing: another kit might have one like it."""
    carries: str = ""
    """What it carried before it came into the kit, and codes that it keeps."""

    @property
    def where_line(self) -> str:
        """Where it goes or sits, by its neighbours; its headline where it has no place, or another than its name."""
        if self.place is None or self.status.shape == "spare":
            return self.headline
        if self.place.name == self.big:
            return self.place.where_now
        return _("{place}: {where}").format(place=self.place.name, where=lower_first(self.place.where_now))

    @property
    def first_lines(self) -> tuple[str, ...]:
        """What to mind before it goes in."""
        return self.place.first_lines if self.place else ()

    @property
    def could_fill(self) -> Shown:
        """The same as far as a screen shows them."""
        return shown(self.spare_for, MOST_PLACES)


def part_view(at: SiteMoment, part: Part, *, end: int | None, reader: Reader) -> PartView:
    """The words for a part; `end` is the strut end that the scanned label said."""
    kit, state = at.kit, at.state
    place = place_of(state, part.id)
    shown = place_view(at, place, end if part.kind == "strut" else None) if place else None
    status, past = part_status(at, part, place=place), state.parts[part.id]
    return PartView(
        id=part.id, big=short_name(part.id, kit.design.frame.prefix), kind=part.kind, what=what_words(kit, part),
        letter=part.part_class if part.kind == "strut" else "", bands=bands(kit, part),
        headline=_headline(state, part.id, shown), status=status, place=shown,
        end=end, spare_for=spare_places(at, part) if _is_spare(state, past, shown) else (),
        acts=_acts(status, state, part.id, place=shown), entries=part_entries(at, part.id, reader),
        lost=past.away is None and (past.missing or past.condition == "quarantined"),
        notes=tuple(map(in_words, trust_said(state, part.id))), carries=carries_words(carried(state, part.id)))


def what_words(kit: Kit, part: Part) -> str:
    """"Strut, class B, cut 1187 mm" or "Hub, class 5L, left-handed"."""
    if part.kind == "strut":
        words = _("Strut, class {letter}, cut {length} mm").format(letter=part.part_class,
                                                                  length=decimal(part.cut_length_mm or 0.0, 1))
        told = (told_section(kit, part.part_class), drawn_as(kit.frame, part.part_class))
        return ", ".join((words, *(in_words(of) for of in told if of is not None)))
    hub_class = next(c for c in kit.frame.hub_classes if c.name == part.part_class)
    words = _("Hub, class {name}, {n} arms").format(name=hub_class.name, n=len(hub_class.dips_deg))
    return f"{words}, {handed_words(hub_class.handed)}" if hub_class.handed else words


def bands(kit: Kit, part: Part) -> int:
    """Bands of a strut's class, 0 for a hub."""
    return next((c.bands for c in kit.frame.strut_classes if part.kind == "strut" and c.letter == part.part_class), 0)


def _is_spare(state: State, past: PartState, shown: PlaceView | None) -> bool:
    """True of a part that may fill a place: none of its own, nothing that keeps it out."""
    return shown is None and state.phase != "striking" and not past.away and past.usable


def spare_places(at: SiteMoment, part: Part) -> tuple[str, ...]:
    """Places of the part's class that are to be filled: those whose own part is not usable, then empty, then others."""
    frame, state = at.frame, at.state
    places = [h.name for h in frame.hubs if part.kind == "hub" and h.hub_class == part.part_class]
    places += [s.name for s in frame.struts if part.kind == "strut" and s.strut_class == part.part_class]
    return tuple(sorted((place for place in places if place in at.plan.step_of),
                        key=lambda place: (_has_usable_part(state, place), state.is_fitted(place))))


def _has_usable_part(state: State, place: str) -> bool:
    meant = state.fitted.get(place) or state.allocation.get(place)
    return meant is not None and state.parts[meant].usable


def _headline(state: State, part_id: str, place: PlaceView | None) -> str:
    """Where it goes; at the strike, for what is out of the frame, into which heap; or at which kit it is."""
    past = state.parts[part_id]
    if past.away is not None:
        return _("It is at {kit}").format(kit=past.away.other)
    if state.phase == "striking" and _is_out(state.parts[part_id]):
        return _("Into a bundle")
    if place is None and not state.parts[part_id].usable:
        return _("It goes nowhere: keep it apart")
    if past.borrowed is not None and place is None:
        return _("A spare, borrowed from {kit}").format(kit=past.borrowed.other)
    return place.headline if place else _("A spare: it has no place of its own")


def _is_out(here: PartState) -> bool:
    return not (here.fitted_at or here.missing or here.bundle or here.condition == "scrapped")


def _acts(status: Status, state: State, part_id: str, *, place: PlaceView | None) -> Acts:
    here = state.parts[part_id]
    if here.away is not None:
        return Acts(here=False)
    if here.missing:
        return Acts(find=True)
    if here.fitted_at:
        return taking_acts(status, state)
    if state.phase == "striking":
        return Acts(store=_is_out(here))
    return fitting_acts(status) if place is not None and status.shape in ("now", "unknown", "waits") else Acts()


def taking_acts(status: Status, state: State) -> Acts:
    """Of a part that sits in the frame: out at the strike once it may; else only if something else happened."""
    due = state.phase == "striking" and status.shape == "now"
    return Acts(take_out=due, take_down=not due)


def fitting_acts(status: Status) -> Acts:
    """Of a part in hand for a place that is empty: it goes in, before its turn too."""
    waits = status.shape != "now"
    return Acts(fit=not waits, fit_anyway=waits)


def where_choices(frame: Frame, state: State, part: Part) -> tuple[tuple[int, str], ...]:
    """(number, words) of every arm or end.

    Numbers are those that the part was first marked with. At another place than the one it was made for a
    sticker may have renumbered its arms, so there the strut comes first, clockwise from arm 1 of the place.
    """
    place = place_of(state, part.id)
    if part.kind == "strut":
        if place is None:
            return (1, _("End 1")), (2, _("End 2"))
        how = state.kit.design.hub.held_by.assembly
        return tuple((end, end_goes(frame, frame.strut(place), end, how)) for end in (1, 2))
    turns = hub_turns(state.kit, part, place) if place is not None else ()
    if place is not None and place != part.made_for and turns:
        own = {at: arm for arm, at in turns[0].arms}
        words = _("the arm for {strut}") if part.is_spare else _("the arm for {strut} (first marked {arm})")
        return tuple((own[arm.number], words.format(strut=arm.strut, arm=own[arm.number]))
                     for arm in frame.hub(place).arms)
    if place is None or place != part.made_for:
        count = next(len(c.dips_deg) for c in frame.hub_classes if c.name == part.part_class)
        return tuple((number, _("arm {arm}").format(arm=number)) for number in range(1, count + 1))
    return tuple((arm.number, _("arm {arm}, for {strut}").format(arm=arm.number, strut=arm.strut))
                 for arm in frame.hub(place).arms)


def class_name(kind: str, name: str) -> str:
    """"hubs 3L", "struts C"."""
    return _("hubs {name}").format(name=name) if kind == "hub" else _("struts {name}").format(name=name)
