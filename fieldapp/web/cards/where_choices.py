"""The arms of a hub or the ends of a strut, as somebody with the part in hand tells them apart."""

from fieldapp.frame.frame import Frame
from fieldapp.kit.interchange import hub_turns
from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.web.cards.status import place_of
from fieldapp.web.common.i18n import _
from fieldapp.wording.place import end_goes


def where_choices(frame: Frame, state: State, part: Part) -> tuple[tuple[int, str], ...]:
    """(number, words) of every arm or end.

    Numbers are those that the part was first marked with. At another place than the one it was made for a
    sticker may have renumbered its arms, so there the strut comes first, clockwise from arm 1 of the place.
    """
    place = place_of(state, part.id)
    if part.kind == "strut":
        if place is None:
            return (1, _("End 1")), (2, _("End 2"))
        return tuple((end, end_goes(frame, frame.strut(place), end)) for end in (1, 2))
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
