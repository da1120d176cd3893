"""Where things are, in words: rings, hub places, strut ends, arms. Nothing here knows of the log."""


from fieldapp.base.joints.joint import Assembly
from fieldapp.base.words import _
from fieldapp.frame.frame import Frame, HubPlace, StrutPlace

LEVEL_WITHIN_MM = 1.0
"""Two ends closer in height than this are called left and right, not lower and upper [mm].
Source: our choice. Test: tests/wording/test_seat.py"""


def ordinal(number: int) -> str:
    """"third"; from 13 on "number 13".

    Examples
    --------
    >>> ordinal(3), ordinal(14)
    ('third', 'number 14')
    """
    words = (_("first"), _("second"), _("third"), _("fourth"), _("fifth"), _("sixth"), _("seventh"), _("eighth"),
             _("ninth"), _("tenth"), _("eleventh"), _("twelfth"))
    return words[number - 1] if number <= len(words) else _("number {n}").format(n=number)


def level_words(frame: Frame, level: int, *, numbered: bool = False) -> str:
    """What people call a level of the frame: "ground ring", "second ring" (or "ring 2", numbered) … "crown"."""
    words = frame.words
    if level == 1:
        return _(words.ground)
    if frame.top is not None and level == frame.top.level:
        return _(words.top)
    return _(words.numbered).format(n=level) if numbered else _(words.level).format(ordinal=ordinal(level))


def hub_where(frame: Frame, hub: HubPlace) -> str:
    """"second ring, third from the front mark clockwise"."""
    if hub == frame.top:
        return _(frame.words.topmost)
    return _("{ring}, {ordinal} from the front mark clockwise").format(
        ring=level_words(frame, hub.level), ordinal=ordinal(hub.number_in_level))


def is_level(frame: Frame, strut: StrutPlace) -> bool:
    """True if both ends are at one height."""
    heights = [float(frame.position_mm(strut.end(end).hub)[2]) for end in (1, 2)]
    return abs(heights[0] - heights[1]) < LEVEL_WITHIN_MM


def end_name(frame: Frame, strut: StrutPlace, end: int) -> str:
    """"lower end", "upper end"; on a level strut "right-hand end", "left-hand end" as seen from outside.

    End 1 is the one first met going clockwise as seen from above, which is the right-hand one for a person outside.
    """
    if is_level(frame, strut):
        return _("right-hand end") if end == 1 else _("left-hand end")
    return _("lower end") if end == 1 else _("upper end")


def sentence(words: str) -> str:
    """With a capital first letter.

    Examples
    --------
    >>> sentence("lower end into arm 4 of H22")
    'Lower end into arm 4 of H22'
    """
    return words[:1].upper() + words[1:]


def end_goes(frame: Frame, strut: StrutPlace, end: int, how: Assembly, *, in_hand: bool = False) -> str:
    """"Lower end into arm 4 of H22", or "The end in your hand (lower end) into …"."""
    at = strut.end(end)
    name = end_name(frame, strut, end)
    if in_hand:
        return _(how.end_in_hand).format(end=name, arm=at.arm, hub=at.hub)
    return sentence(_(how.at_arm).format(end=name, arm=at.arm, hub=at.hub))


def handed_words(handed: str | None) -> str:
    """What a handed hub is called."""
    return {"left": _("left-handed"), "right": _("right-handed")}.get(handed or "", "")
