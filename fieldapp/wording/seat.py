"""Which way up a hub sits at a place that it was not made for; and whether a strut goes into a hub, and where."""

from collections.abc import Iterable

from fieldapp.base.joints.joint import Assembly
from fieldapp.base.said import listed
from fieldapp.base.words import _
from fieldapp.frame.frame import HubPlace
from fieldapp.kit.interchange import Turn, arm_directions, hub_turns
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import short_name
from fieldapp.reports.raising.pairing import ArmSeat, Pairing, StrutSeat

ALIKE_DEG = 0.5
"""Gaps that differ by less cannot be told apart by eye [deg]. Source: our choice. Test: tests/wording/test_seat.py"""


def seat_lines(kit: Kit, part: Part | None, place: str) -> tuple[str, ...]:
    """How to turn the hub that sits at a place or is meant for it; empty if it was made for it, or there is none."""
    if part is None or part.kind != "hub" or part.made_for == place:
        return ()
    turns = hub_turns(kit, part, place)
    if not turns:
        return ()
    hub = kit.frame.hub(place)
    return tuple(_unmarked(kit, part, hub, turns)) if part.is_spare else tuple(_marked(kit, part, hub, turns[0]))


def _marked(kit: Kit, part: Part, hub: HubPlace, turn: Turn) -> Iterable[str]:
    """By the numbers it carries, from the place it was made for."""
    own = {at: arm for arm, at in turn.arms}
    first = hub.arms[0]
    clock = _clock(hub.arms[turn.place_arm(1) - 1].azimuth_deg - arm_directions(kit, part)[0][0])
    yield _("{part} was made for {home}. Here its arm {own} belongs to {strut}, and its arrow points to {clock} "
            "o'clock as you look from outside.").format(part=part.id, home=part.made_for, own=own[1],
                                                        strut=first.strut, clock=clock)
    pairs = ", ".join(_("arm {arm} to {strut}").format(arm=arm, strut=hub.arms[at - 1].strut) for arm, at in turn.arms)
    yield _("By its own numbers: {pairs}. A “new place” sticker says the same in the numbers of {place}.").format(
        pairs=pairs, place=hub.name)


def _unmarked(kit: Kit, part: Part, hub: HubPlace, turns: tuple[Turn, ...]) -> Iterable[str]:
    """A spare has neither arrow nor numbers: by what of its arms stands out."""
    yield _("{part} is a spare without arrow and numbers: turn it until its arms point as in the picture.").format(
        part=part.id)
    if len(turns) < len(hub.arms):
        yield from _standing_out(hub, len(turns))


def _standing_out(hub: HubPlace, turns: int) -> Iterable[str]:
    """The first of its features that is there once for each way to sit, with the struts at it; nothing if none is."""
    count = len(hub.arms)
    gaps_deg = [(hub.arms[(i + 1) % count].azimuth_deg - hub.arms[i].azimuth_deg) % 360.0 for i in range(count)]
    room_deg = [gaps_deg[i - 1] + gaps_deg[i] for i in range(count)]
    closest = _("Its two arms that stand closest together, {deg}° apart, take {one} and {other}.")
    farthest = _("Its two arms that stand farthest apart, by {deg}°, take {one} and {other}.")
    narrow = _("Its arm with the least room on both sides takes {one}.")
    wide = _("Its arm with the most room on both sides takes {one}.")
    for sizes, most, words in ((gaps_deg, min(gaps_deg), closest), (gaps_deg, max(gaps_deg), farthest),
                               (room_deg, min(room_deg), narrow), (room_deg, max(room_deg), wide)):
        spots = [i for i, size in enumerate(sizes) if abs(size - most) < ALIKE_DEG]
        if len(spots) == turns:
            at = spots[0]
            yield words.format(deg=f"{most:.0f}", one=hub.arms[at].strut, other=hub.arms[(at + 1) % count].strut)
            return


def _clock(angle_deg: float) -> int:
    """A direction clockwise from straight up, as on the face of a clock.

    Examples
    --------
    >>> _clock(0.0), _clock(62.0), _clock(-30.0)
    (12, 2, 11)
    """
    return round(angle_deg % 360.0 / 30.0) % 12 or 12


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
    strut, hub = short_name(found.strut, found.own), short_name(found.hub, found.own)
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
