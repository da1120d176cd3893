"""Which way up a hub sits at a place that it was not made for: its own numbers and its arrow do not say it there."""

from collections.abc import Iterable

from fieldapp.base.words import _
from fieldapp.frame.frame import HubPlace
from fieldapp.kit.interchange import Turn, arm_directions, hub_turns
from fieldapp.kit.kit import Kit, Part

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
