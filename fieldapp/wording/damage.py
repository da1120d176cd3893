"""The answer to damage in words: may it stay in, what to hold, what the neighbours carry, what to fetch."""

import math

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.words import _, ngettext
from fieldapp.kit.numbering import short_name
from fieldapp.plan.words import speed
from fieldapp.reports.damage import DamageAnswer, LoadedHub, new_loose
from fieldapp.reports.parts.replacements import Candidate, Replacements, ToMake
from fieldapp.wording.standing import one_hold, share_text

MOST_NAMED = 3
"""Candidates named one by one (in no formula)."""

MOST_LOOSE = 2
"""Struts that hang loose named one by one (in no formula)."""
LITTLE = 0.1
"""Uses below are not told one by one [1]. Source: our choice. Test: tests/reports/standing/test_standing.py"""


def replacement_words(found: Replacements) -> tuple[str, ...]:
    """The nearest candidates first; if there is none, what to make."""
    if not found.candidates:
        return (_("No part is left that fits {place}.").format(place=found.place), *make_words(found.make))
    return tuple(candidate_words(found.place, one) for one in found.candidates[:MOST_NAMED])


def candidate_words(place: str, one: Candidate) -> str:
    """Which part, where it comes from, how to turn it."""
    if one.home is None:
        words = _("Take {part}, a spare.").format(part=short_name(one.part, one.own))
    elif one.steps_later is not None and one.steps_later > 0:
        words = ngettext("Take {part}: its own place {home} comes {n} step later.",
                         "Take {part}: its own place {home} comes {n} steps later.", one.steps_later).format(
            part=short_name(one.part, one.own), home=one.home, n=one.steps_later)
    else:
        words = _("Take {part} from place {home}.").format(part=short_name(one.part, one.own), home=one.home)
    if one.turn is not None and not one.keeps_numbers:
        words += " " + _("Turn it so that its arm 1 lies where arm {arm} of {place} belongs.").format(
            arm=one.turn.place_arm(1), place=place)
    return f"{words} " + _("Look at it first.") if one.watch else words


def make_words(make: ToMake) -> tuple[str, ...]:
    """What to make, with its cut length or its arm table."""
    if make.cut_length_mm is not None:
        words = _("Make a strut of class {name}: cut it {length} mm long.").format(
            name=make.part_class, length=decimal(make.cut_length_mm, 1))
        return (words,) if make.section is None else (words, _("Section: {section}.").format(
            section=in_words(make.section)))
    arms = [_("arm {n} at {turn}°, {dip}° inward").format(
        n=number, turn=decimal(azimuth_deg, 1), dip=decimal(dip_deg, 1))
            for number, azimuth_deg, dip_deg in make.arms]
    return (_("Make a hub of class {name}: {arms}.").format(name=make.part_class, arms=listed(arms, most=12)),)


def damage_words(answer: DamageAnswer) -> tuple[str, ...]:
    """What to do first, then why, then what to fetch."""
    fetch = replacement_words(answer.replacements) if answer.replacements and answer.stays_out \
        and not answer.striking else ()
    return (verdict_words(answer), *(one_hold(hold) for hold in answer.holds), *_loss_words(answer),
            *_neighbour_words(answer.neighbours), *_wind_words(answer), *fetch)


def verdict_words(answer: DamageAnswer) -> str:
    """The first line.

    Examples
    --------
    >>> verdict_words(DamageAnswer("OH-H22-X", "hub", "H22", 3, 0.0, "go on"))
    'Go on. H22 may stay in: hold nothing more, do not load it. Replace it when there is time.'
    """
    part = short_name(answer.part, answer.own)
    if answer.verdict == "in the stores":
        return _stores_words(answer)
    if answer.verdict == "stop":
        return _("Stop. Everybody out from under the frame, then call the chief: {part} cannot be made safe by "
                 "holding.").format(part=part)
    if answer.verdict == "hold and replace":
        return _hold_and_replace(answer, part)
    if answer.left >= 1.0:
        return _("Go on. {part} bears as much as before.").format(part=part)
    if answer.striking:
        return _("Go on. Mind {part} when it comes out: hold nothing more, do not load it.").format(part=part)
    if not answer.stays_out:
        return _("Go on. {part} stays in: hold nothing more, and look at it again when you pass.").format(part=part)
    if answer.blocks:
        return _("{part} may stay in until another is at hand: hold nothing more, do not load it. Replace it before "
                 "anything goes on.").format(part=part)
    return _("Go on. {part} may stay in: hold nothing more, do not load it. Replace it when there is time.").format(
        part=part)


def leave_in_words(answer: DamageAnswer) -> str:
    """The first line of a part that must be exchanged and cannot be taken out as the frame stands.

    Examples
    --------
    >>> leave_in_words(DamageAnswer("OH-H22-X", "hub", "H22", 3, 0.0, "go on"))
    'Leave H22 in: do not load it, and do not take it out yet.'
    """
    part, hubs = short_name(answer.part, answer.own), [hold.hub for hold in answer.holds]
    return _("Hold {hubs}, and do not take {part} out yet.").format(hubs=listed(hubs, most=8), part=part) if hubs else \
        _("Leave {part} in: do not load it, and do not take it out yet.").format(part=part)


def _hold_and_replace(answer: DamageAnswer, part: str) -> str:
    hubs = [hold.hub for hold in answer.holds]
    if answer.striking:
        return _("Hold {hubs} until {part} is out.").format(hubs=listed(hubs or [part], most=8), part=part)
    if not hubs:
        return _("Replace {part} now, before you go on.").format(part=part)
    if hubs == [answer.place]:
        return _("Hold {part} and replace it.").format(part=part)
    return _("Hold {hubs} and replace {part}.").format(hubs=listed(hubs, most=8), part=part)


def _stores_words(answer: DamageAnswer) -> str:
    part, stores = short_name(answer.part, answer.own), answer.stores
    if not answer.stays_out:
        return _("{part} may be used; look at it again at the next check.").format(part=part)
    if stores is None or stores.home is None:
        left = stores.spares_left if stores else 0
        return ngettext("Keep {part} out. {n} spare of its class is left.",
                        "Keep {part} out. {n} spares of its class are left.", left).format(part=part, n=left)
    if stores.step is None or stores.steps_until is None:
        return _("Keep {part} out. Its place {place} stays empty in this way of raising: nothing is missing.").format(
            part=part, place=stores.home)
    return ngettext("Keep {part} out. Its place {place} is step {step}: {n} step to go until then.",
                    "Keep {part} out. Its place {place} is step {step}: {n} steps to go until then.",
                    stores.steps_until).format(part=part, place=stores.home, step=stores.step, n=stores.steps_until)


def _loss_words(answer: DamageAnswer) -> tuple[str, ...]:
    """What no longer carries."""
    if answer.after is None or answer.left >= 1.0:
        return ()
    if answer.left > 0.0:
        return (_("It counts with {share} of its strength.").format(share=f"{math.floor(answer.left * 100)} %"),)
    loose = new_loose(answer.before, answer.after) if answer.before else ()
    if answer.spot is None:
        return _whole_words(answer, [end.strut for end in loose])
    lines = [_("{strut} now hangs on {hub} alone: hold its free end, or tie it up.").format(
        strut=end.strut, hub=end.hub) for end in loose[:MOST_LOOSE]]
    rest = [end.strut for end in loose[MOST_LOOSE:]]
    if rest:
        lines.append(ngettext("So does {struts}.", "So do {struts}.", len(rest)).format(struts=listed(rest, most=6)))
    return tuple(lines)


def _whole_words(answer: DamageAnswer, loose: list[str]) -> tuple[str, ...]:
    """A part of which nothing is counted on."""
    lines = [_("{part} is counted as carrying nothing.").format(part=short_name(answer.part, answer.own))]
    if answer.kind == "hub" and loose:
        lines.append(ngettext("{struts} then hangs on its other end alone.", "{struts} then hang on their other ends "
                              "alone.", len(loose)).format(struts=listed(loose, most=6)))
    return tuple(lines)


def _neighbour_words(more: tuple[LoadedHub, ...]) -> tuple[str, ...]:
    """One by one where they carry much, else only the worst."""
    if more and more[0].after < LITTLE:
        return (_("Its neighbours carry little more: at most {after} (arm {arm} of {hub}; before {before}).").format(
            arm=more[0].arm, hub=more[0].hub, after=share_text(more[0].after), before=share_text(more[0].before)),)
    return tuple(_("Arm {arm} of {hub} now carries {after} of what it can take; before {before}.").format(
        arm=one.arm, hub=one.hub, after=share_text(one.after), before=share_text(one.before)) for one in more)


def _wind_words(answer: DamageAnswer) -> tuple[str, ...]:
    before, after = (stage.wind if stage else None for stage in (answer.before, answer.after))
    if before is None or after is None:
        return ()
    act, acted = after.at_work.last_m_s, before.at_work.last_m_s
    now, was = in_words(speed(act)), in_words(speed(acted))
    if now == was or act > acted:
        return ()
    return (_("Clear the frame from gusts of {after} m/s; before it was {before} m/s.").format(after=now, before=was),)
