"""Replacements in words: which part to fetch, how to turn it, what to make."""

from fieldapp.base.numbers import decimal
from fieldapp.base.said import listed
from fieldapp.base.words import _, ngettext
from fieldapp.kit.numbering import short_name
from fieldapp.reports.parts.replacements import Candidate, Replacements
from fieldapp.reports.parts.substitutes import ToMake

MOST_NAMED = 3
"""Candidates named one by one (in no formula)."""


def replacement_words(found: Replacements) -> tuple[str, ...]:
    """The nearest candidates first; if there is none, what to make."""
    if not found.candidates:
        return (_("No part is left that fits {place}.").format(place=found.place), *make_words(found.make))
    return tuple(candidate_words(found.place, one) for one in found.candidates[:MOST_NAMED])


def candidate_words(place: str, one: Candidate) -> str:
    """Which part, where it comes from, how to turn it."""
    if one.home is None:
        words = _("Take {part}, a spare.").format(part=short_name(one.part))
    elif one.steps_later is not None and one.steps_later > 0:
        words = ngettext("Take {part}: its own place {home} comes {n} step later.",
                         "Take {part}: its own place {home} comes {n} steps later.", one.steps_later).format(
            part=short_name(one.part), home=one.home, n=one.steps_later)
    else:
        words = _("Take {part} from place {home}.").format(part=short_name(one.part), home=one.home)
    if one.turn is not None and not one.keeps_numbers:
        words += " " + _("Turn it so that its arm 1 lies where arm {arm} of {place} belongs.").format(
            arm=one.turn.place_arm(1), place=place)
    return f"{words} " + _("Look at it first.") if one.watch else words


def make_words(make: ToMake) -> tuple[str, ...]:
    """What to make, with its cut length or its arm table."""
    if make.cut_length_mm is not None:
        return (_("Make a strut of class {name}: cut it {length} mm long.").format(
            name=make.part_class, length=decimal(make.cut_length_mm, 1)),)
    arms = [_("arm {n} at {turn}°, {dip}° inward").format(
        n=number, turn=decimal(azimuth_deg, 1), dip=decimal(dip_deg, 1))
            for number, azimuth_deg, dip_deg in make.arms]
    return (_("Make a hub of class {name}: {arms}.").format(name=make.part_class, arms=listed(arms, most=12)),)
