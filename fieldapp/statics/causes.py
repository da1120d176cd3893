"""The causes that can govern a limit, one line each: what it means for a way of raising, and how it is said.

A new cause is its name in `governs`, one line here, and a test. Whoever says a limit asks `gives_way`.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from fieldapp.base.said import Said, say
from fieldapp.statics.governs import (
    ARM,
    FIT,
    FOLDS,
    FOOT_LIFTS,
    FOOT_SLIDES,
    HANDS,
    HINGE,
    JOINT,
    LADDERS,
    PEG,
    SIGHT,
    SLIDES,
    STABILITY,
    TIPS,
    TUBE,
    UNKNOWN,
    UNTESTED,
    Governs,
    Limit,
)


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause."""

    name: str
    means: Literal["breaks", "asks for pegs", "ends before", "unknown"]
    """The frame breaks; a loose foot asks to be held; hands or eyes end before the frame does; nobody knows."""
    words: Callable[[Governs], Said]
    """What gives way first, as the second half of a sentence."""
    helps: Said = field(default_factory=lambda: say("another way of raising, or a licensed engineer"))
    """What would help where a whole way breaks by it."""


def _buckles(at: Governs) -> Said:
    return say("the frame buckles first, most at {hub}", hub=at.hub) if at.hub else say("the frame buckles first")


def _ill_fitting(at: Governs) -> Said:
    if at.hub:
        return say("what tolerances lock into the arm of {hub} on {strut} is too much", hub=at.hub, strut=at.strut)
    if at.strut:
        return say("what tolerances lock into the tube of {strut} is too much", strut=at.strut)
    return say("what tolerances lock in is too much")


CAUSES: dict[str, Cause] = {cause.name: cause for cause in (
    Cause(ARM, "breaks", lambda at: say("the arm of {hub} on {strut} breaks first", hub=at.hub, strut=at.strut),
          say("stronger arms (more layers, deeper, better break tests), a prop under what they bear, or another way")),
    Cause(TUBE, "breaks", lambda at: say("the tube of {strut} folds first", strut=at.strut),
          say("thicker or stiffer tubes, a smaller frame, props where it gives way, or another way")),
    Cause(JOINT, "breaks", lambda at: say("the joint of {strut} at {hub} gives way first", strut=at.strut, hub=at.hub),
          say("a pin or bolt through every joint, with a pull test of your own")),
    Cause(HINGE, "breaks", lambda at: say("{strut} turns at {hub}, which is a hinge", strut=at.strut, hub=at.hub),
          say("hands at its free end until that is in too")),
    Cause(FIT, "breaks", _ill_fitting),
    Cause(STABILITY, "breaks", _buckles,
          say("stiffer tubes and joints, props where it gives way, or another way")),
    Cause(FOLDS, "breaks", lambda at: say("it does not stand by itself, {hub} moves first", hub=at.hub),
          say("stiffer joints, props where it folds, or another way; whether a piece put together flat and lifted "
              "whole would do is not computed")),
    Cause(PEG, "breaks", lambda at: say("the peg at {hub} gives way first", hub=at.hub),
          say("stronger pegs or more ballast there, with a pull test of your own")),
    Cause(FOOT_LIFTS, "asks for pegs", lambda at: say("foot {hub} lifts first", hub=at.hub)),
    Cause(FOOT_SLIDES, "asks for pegs", lambda at: say("foot {hub} slides first", hub=at.hub)),
    Cause(SLIDES, "asks for pegs", lambda _at: say("the frame slides first")),
    Cause(TIPS, "asks for pegs", lambda _at: say("the frame tips first")),
    Cause(HANDS, "ends before", lambda _at: say("more than a person pushes")),
    Cause(SIGHT, "ends before", lambda _at: say("more than the eye lets pass")),
    Cause(LADDERS, "ends before", lambda _at: say("people on ladders come down first")),
    Cause(UNKNOWN, "unknown", lambda _at: say("not known, so count on nothing")),
    Cause(UNTESTED, "unknown", lambda _at: say("nobody has tested what the parts bear")),
)}
"""By name, as `Governs.what` has it."""


def cause_of(governs: Governs | None) -> Cause | None:
    """The cause of a limit; None where nothing gives way."""
    return None if governs is None else CAUSES[governs.what]


def is_unknown(limit: Limit) -> bool:
    """True if nobody knows what gives way: neither said to stand nor to fall."""
    cause = cause_of(limit.governs)
    return cause is not None and cause.means == "unknown"


def is_untested(limit: Limit) -> bool:
    """True if nobody has tested what the parts bear: the number is none, and is told to be unknown."""
    return limit.governs is not None and limit.governs.what == UNTESTED


def asks_for_pegs(limit: Limit) -> bool:
    """True if a loose foot gives way, which is no break: it asks to be held."""
    cause = cause_of(limit.governs)
    return cause is not None and cause.means == "asks for pegs"


def what_helps(governs: Governs | None) -> Said:
    """What would help where a whole way breaks by it."""
    return CAUSES[governs.what if governs else FOLDS].helps


def gives_way(governs: Governs | None) -> Said:
    """What gives way first, in words.

    Examples
    --------
    >>> from fieldapp.base.said import in_words
    >>> in_words(gives_way(Governs("tube", "S102"))), in_words(gives_way(None))
    ('the tube of S102 folds first', 'nothing gives way')
    """
    cause = cause_of(governs)
    return say("nothing gives way") if governs is None or cause is None else cause.words(governs)
