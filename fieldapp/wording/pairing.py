"""Strut and hub in words: yes, at this arm; or no, and where each goes instead."""

from fieldapp.base.joints.joint import Assembly
from fieldapp.base.said import listed
from fieldapp.base.words import _
from fieldapp.kit.numbering import short_name
from fieldapp.reports.raising.pairing import ArmSeat, Pairing, StrutSeat


def pairing_words(found: Pairing, how: Assembly) -> tuple[str, ...]:
    """Yes or no first; `how` is how this kit is put together.

    Examples
    --------
    >>> from fieldapp.base.joints import JOINTS
    >>> seat = ArmSeat(3, "S073", "C", 1, filled=False)
    >>> found = Pairing("OH-S073-C", "OH-H22-X", "S073", "H22", seat, (), (seat,), ())
    >>> pairing_words(found, JOINTS["flat arm"].assembly)
    ('Yes. Push end 1 of S073 onto arm 3 of H22.',)
    """
    strut, hub = short_name(found.strut), short_name(found.hub)
    if found.seat is not None:
        lines = [_(how.yes).format(
            end=found.seat.end, strut=strut, arm=found.seat.arm, hub=hub)]
        if found.hub_place is not None and found.hub_place != hub:
            lines.append(_("{hub} goes to place {place}.").format(hub=hub, place=found.hub_place))
        return tuple(lines)
    first = _("No, not as planned.") if found.could_go else _("No.")
    could = (_could(strut, hub, found.could_go),) if found.could_go else ()
    return (first, *could, _strut_words(strut, found), *_hub_words(hub, found))


def _could(strut: str, hub: str, could: tuple[ArmSeat, ...]) -> str:
    return _("It fits {arms} of {hub} as well (same class): fit {strut} there and exchange the two places.").format(
        arms=listed([_("arm {arm} (place {place})").format(arm=seat.arm, place=seat.strut_place) for seat in could],
                    most=6),
        hub=hub, strut=strut)


def _strut_words(strut: str, found: Pairing) -> str:
    if not found.strut_goes:
        return _("{strut} is a spare and goes nowhere yet.").format(strut=strut)
    return _("{strut} goes from {first} to {second}.").format(
        strut=strut, first=_end_words(found.strut_goes[0]), second=_end_words(found.strut_goes[1]))


def _end_words(seat: StrutSeat) -> str:
    part = short_name(seat.hub_part) if seat.hub_part else seat.hub_place
    where = seat.hub_place if part == seat.hub_place else _("{part} at {place}").format(part=part, place=seat.hub_place)
    return _("{hub} (end {end})").format(hub=where, end=seat.end)


def _hub_words(hub: str, found: Pairing) -> tuple[str, ...]:
    if found.hub_place is None:
        return (_("{hub} is a spare and goes nowhere yet.").format(hub=hub),)
    still = [_("{strut} at arm {arm}").format(strut=seat.strut_place, arm=seat.arm)
             for seat in found.hub_takes if not seat.filled]
    if not still:
        return (_("{hub} has all its struts.").format(hub=hub),)
    return (_("{hub} still takes {struts}.").format(hub=hub, struts=listed(still, most=6)),)
