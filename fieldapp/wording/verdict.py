"""The verdict in words: a word beside a name, why not yet, who holds what, and how to get to a stage that stands."""

from collections.abc import Iterator

from fieldapp.base.said import listed
from fieldapp.base.words import _, ngettext
from fieldapp.frame.ground import GroundSection
from fieldapp.plan.plan import Plan
from fieldapp.reports.verdict import First, Verdict, WayOut
from fieldapp.wording.pegs import each_must, peg_first
from fieldapp.wording.standing import headline, one_hold

MOST_NAMED = 6
"""Places named one by one (in no formula)."""
FIRST_NAMED = 3
"""The same of what comes out before: the next ones do, and they find room beside a name (in no formula)."""


def verdict_word(found: Verdict, ground: GroundSection) -> str:
    """The one word, or short line, beside its shape.

    Examples
    --------
    >>> verdict_word(Verdict("H22", 7, "now", "in"), GroundSection())
    'May go in now'
    >>> verdict_word(Verdict("H22", 7, "waits", "in", first=(First("fill", ("S140",), below=True),)), GroundSection())
    'S140 is missing below: fill it before anything goes on'
    >>> verdict_word(Verdict("S9", 7, "waits", "out", first=(First("take out", ("H30", "S7")),)), GroundSection())
    'Not yet. First take out H30 and S7.'
    """
    if found.sign == "unknown":
        return _("Its turn. Strength not tested: ask the chief")
    if found.may:
        return _("May come out now") if found.act == "out" else _("May go in now")
    if not found.first:
        return {"fitted": _("Fitted"), "empty": _("Empty")}.get(found.sign, "")
    first = found.first[0]
    if first.need == "stopped":
        return _("Not now: building is stopped")
    if first.need == "wind":
        return _("Not now: too much wind")
    if first.need == "not begun":
        return _("Not now: the raise is not started")
    if first.need == "clear":
        return _("Not now: everybody out from under the frame")
    if first.need == "exchange":
        return _("{place} is being exchanged: building stops.").format(place=listed(first.places))
    if first.need == "not so":
        return _not_so(found)
    if first.below:
        return below_words(found.first)
    if first.need == "peg":
        return peg_first(ground, first.places)
    if first.need == "take out":
        return _("Not yet. First take out {places}.").format(places=listed(first.places, most=FIRST_NAMED))
    if first.need == "find":
        return _("Find another part for {name}").format(name=listed(first.places))
    return _("Waits for {places}").format(places=listed(_lacks(found.first)))


def verdict_detail(found: Verdict, ground: GroundSection) -> str:
    """What belongs to the word and finds no room in it: how much a peg must hold, why it must not be done."""
    if not found.first:
        return ""
    first = found.first[0]
    if first.need == "peg":
        return each_must(ground, first.feet)
    if first.need == "not so" and found.lift is None:
        return headline(found.after) if found.after is not None else ""
    return headline(found.now) if first.need == "clear" else ""


def _not_so(found: Verdict) -> str:
    if found.lift is not None and found.lift.breaks:
        return _("Do not lift it so")
    return _("Do not take it out: what is left would not stand") if found.act == "out" else \
        _("Do not put it in: what stands would not bear it")


def _lacks(first: tuple[First, ...]) -> list[str]:
    """Hubs first; once they are in, the struts that tie them."""
    return [place for one in first if one.need in ("fill", "replace", "find") for place in one.places]


def below_words(first: tuple[First, ...]) -> str:
    """The headline of everybody: what is missing or damaged below; empty where nothing is.

    Examples
    --------
    >>> below_words((First("replace", ("S140",), below=True), First("fill", ("S141",), below=True)))
    'S140 is damaged below: replace it before anything goes on'
    """
    below = [one for one in first if one.below]
    if not below:
        return ""
    alike = [place for one in below if (one.need == "replace") == (below[0].need == "replace") for place in one.places]
    places = listed(alike, most=MOST_NAMED)
    if below[0].need == "replace":
        return ngettext("{places} is damaged below: replace it before anything goes on",
                        "{places} are damaged below: replace them before anything goes on", len(alike)).format(
            places=places)
    return ngettext("{places} is missing below: fill it before anything goes on",
                    "{places} are missing below: fill them before anything goes on", len(alike)).format(places=places)


def pair_waits(found: Verdict, ground: GroundSection) -> tuple[str, ...]:
    """Of a pair that belongs together and may not be put together yet; nothing where it may.

    Examples
    --------
    >>> first = (First("fill", ("H25",)), First("fill", ("H26",)))
    >>> pair_waits(Verdict("", 7, "waits", "in", first=first), GroundSection())
    ('Right pair. Not yet: first H25 and H26.',)
    """
    if found.may or not found.first:
        return ()
    lacks = _lacks(found.first)
    if found.first[0].need in ("fill", "replace") and not found.below:
        return (_("Right pair. Not yet: first {places}.").format(places=listed(lacks, most=MOST_NAMED)),)
    return (_("Right pair, but not yet."), f"{verdict_word(found, ground).rstrip('.')}.")


def hands_lines(found: Verdict) -> tuple[str, ...]:
    """Who holds what before, while and after it is done; what may be let go."""
    hands, lines = found.hands, []
    if hands.carry and found.act == "out":
        lines.append(_("First carry the piece at {hubs}, one person at each.").format(
            hubs=listed(hands.carry, most=40)))
    if hands.before:
        lines.append(_("First hold {hubs}.").format(hubs=listed([hold.hub for hold in hands.before], most=MOST_NAMED)))
    if hands.after:
        lines.append(_("Once it is in, hold {hubs}.").format(
            hubs=listed([hold.hub for hold in hands.after], most=MOST_NAMED)))
    lines += [one_hold(hold) for hold in (*hands.before, *hands.after)]
    if found.act == "out" and found.may:
        lines += [keep_in_hand(hub) for hub in hands.in_hand[:1] if hub in found.now.hubs]
    if found.after is not None and found.may:
        lines += [_("{strut} then hangs on {hub} alone: hold its free end.").format(strut=end.strut, hub=end.hub)
                  for end in found.after.loose_ends if end.strut in hands.in_hand]
    if hands.let_go and found.may:
        lines.append(_("When it is done, {hubs} may be let go.").format(hubs=listed(hands.let_go, most=MOST_NAMED)))
    return tuple(lines)


def keep_in_hand(hub: str) -> str:
    """At the strike: a hub above the ground, from before its first strut comes off."""
    return _("Keep {hub} in hand while its struts come off.").format(hub=hub)


def way_out_words(ways: tuple[WayOut, ...]) -> tuple[str, ...]:
    """Where nothing may go in or come out: how to get to a stage that stands.

    Examples
    --------
    >>> way_out_words((WayOut("out", ("S9", "H9"), step=12),))
    ('Nothing may go on as it is. Taking back step 12 (S9 and H9) leaves a stage that stands.',)
    """
    return tuple(_ways(ways))


def _ways(ways: tuple[WayOut, ...]) -> Iterator[str]:
    for way in ways:
        if way.act == "in":
            yield _("Nothing goes on before {places} holds a sound part.").format(places=listed(way.places))
        elif way.act == "out":
            words = _("Nothing may go on as it is. Taking back step {step} ({places}) leaves a stage that stands.")
            yield words.format(
                step=way.step, places=listed(way.places, most=MOST_NAMED))
            if way.hold:
                yield _("First hold {hubs}.").format(hubs=listed([hold.hub for hold in way.hold], most=MOST_NAMED))
        else:
            yield _("Nothing that this book knows makes it stand: keep everybody out from under it, and call the "
                    "chief.")


def rests_words(plan: Plan, place: str) -> tuple[str, ...]:
    """What must be in before, where nobody asks the log: hubs and the struts that tie them."""
    if place not in plan.step_of or not plan.rests_on(place):
        return ()
    hubs = [name for name in plan.step_for(place).waits_for if name in plan.step_of]
    words = _("Only once {hubs} are in with all the struts of their steps, and nothing below is missing or damaged. "
              "This copy knows no log: ask by voice.")
    return (words.format(hubs=listed(hubs, most=MOST_NAMED)),)
