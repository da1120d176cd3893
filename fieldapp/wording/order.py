"""Fitting before its turn, in words: whether it may, what to hold then, what will be harder."""

from dataclasses import replace

from fieldapp.base.said import listed
from fieldapp.base.words import _, ngettext
from fieldapp.reports.standing.out_of_order import Consequence
from fieldapp.wording.standing import headline, in_hand_words, one_hold


def after_words(found: Consequence) -> tuple[str, ...]:
    """The consequence alone, for whoever has been told already that it is not its turn."""
    return (*_danger_words(found), *(one_hold(hold) for hold in found.holds), *_in_hand_words(found),
            *_loose_words(found), *_play_words(found))


def _in_hand_words(found: Consequence) -> tuple[str, ...]:
    """What nothing would hold: the part asked about first, then others that are logged as fitted."""
    others = tuple(place for place in found.after.in_hand if place != found.place)
    own = found.place in found.after.in_hand and found.place in found.after.struts
    words = (_("Nothing that stands would hold {place} yet.").format(place=found.place),) if own else ()
    return (*words, *in_hand_words(replace(found.after, in_hand=others)))


def _danger_words(found: Consequence) -> tuple[str, ...]:
    if found.after.verdict == "clear":
        return (headline(found.after),)
    if found.holds:
        return (_("Once it is in, hold {hubs}.").format(hubs=listed([hold.hub for hold in found.holds], most=6)),)
    free = found.waits_for and not found.after.in_hand and not found.loose
    return (_("Nothing more needs to be held for it."),) if free else ()


def _loose_words(found: Consequence) -> tuple[str, ...]:
    return tuple(_("{strut} then hangs on {hub} alone: hold its free end.").format(strut=end.strut, hub=end.hub)
                 for end in found.loose)


def _play_words(found: Consequence) -> tuple[str, ...]:
    if not found.play:
        return ()
    return (ngettext("{struts} then only goes in if its two hubs are eased apart.",
                     "{struts} then only go in if their hubs are eased apart.", len(found.play)).format(
        struts=listed(found.play, most=6)),)
