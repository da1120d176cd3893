"""What a whole frame forgives, in words for page, sheet and terminal: the answer first, then where and what governs."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from fieldapp.base.constants import WIND_ACTION_FRACTIONS
from fieldapp.base.said import Number, Said, Value, row, say, say_n
from fieldapp.plan.forgives.record import (
    LADDER_LOAD_KG,
    PERSON_N,
    Forgives,
    Lost,
    ladder_push_n,
    that_bear,
    that_do_not,
    worst_of,
)
from fieldapp.plan.words import force
from fieldapp.statics.causes import gives_way
from fieldapp.statics.limits import Limit

MOST_PLACES = 12
"""Places named one by one (in no formula)."""

CARE = (
    say("For the whole frame as designed, with sound parts, its feet held as planned and nothing else on it: no cover, "
        "no wind."),
    say("One person in all, who hangs still: no swinging, no pulling up, no second one. Nobody hangs or climbs, and no "
        "ladder leans, unless it says so here and whoever is responsible for the site allows it. Local rules come "
        "first."),
    say("A lost part is reckoned as gone quietly. One that breaks suddenly shakes the rest harder than that: keep "
        "people from under it."),
)
"""Said wherever it is shown."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One question with its answer."""

    about: Said
    sign: Literal["fitted", "stop", "waits"]
    head: Said
    lines: tuple[Said, ...] = ()


def forgives_answers(found: Forgives) -> tuple[Answer, ...]:
    """Somebody who hangs, a ladder, a strut lost, a hub lost."""
    if not found.whole.stands:
        return (_stands_not(found.whole),)
    return (_hangs(found), _ladder(found.ladder), _lost(found.struts, found.to_do, hubs=False),
            _lost(found.hubs, found.to_do, hubs=True))


def _stands_not(whole: Lost) -> Answer:
    """Of a frame that is no help to anybody."""
    lines = (say("It moves at {hubs}.", hubs=row(whole.moves, most=6)),) if whole.moves else ()
    return Answer(say("The whole frame"), "stop", say(
        "It does not stand by itself, so it forgives nothing: nobody hangs from it, nothing leans on it."), lines)


def _hangs(found: Forgives) -> Answer:
    about, limits = say("Somebody hangs from it"), found.hang
    if not limits:
        return Answer(about, "waits", say("It is being worked out"), (_UNKNOWN,))
    good, bad = that_bear(limits, PERSON_N), that_do_not(limits, PERSON_N)
    return Answer(about, "stop" if bad else "fitted", _hangs_head(good, bad), (
        *_only_at(good, bad), *_joints(found.pull_n, found.joint_n), *_weakest(good, bad),
        say("One person is taken to weigh {force}.", force=force(PERSON_N))))


_UNKNOWN = say("Until then it is not known: count on nothing.")


def _hangs_head(good: Sequence[str], bad: Sequence[Limit]) -> Said:
    if not bad:
        return say("One person may hang anywhere, if all joints hold")
    if not good:
        return say("Nobody may hang from it")
    hubs, all_hubs = _hubs(good), _hubs([*good, *(limit.at for limit in bad)])
    if len(hubs) == len(good):
        return say("Never from a strut. One person may hang from {n} hubs of {all}, if all joints hold", n=len(hubs),
                   all=len(all_hubs))
    return say("One person may hang from {n} hubs of {all} and from some struts, if all joints hold", n=len(hubs),
               all=len(all_hubs))


def _hubs(places: Sequence[str]) -> tuple[str, ...]:
    return tuple(place for place in places if place.startswith("H"))


def _joints(pull_n: float, joint_n: float | None) -> Iterator[Said]:
    """What joints must hold, and whether anybody knows that they do."""
    if joint_n is not None:
        yield say("By your pull tests a joint holds a pull of {pull}, all reductions made: that is counted here.",
                  pull=Number(math.floor(joint_n), 0, "N"))
    elif pull_n > 0:
        yield say("What a joint holds against being pulled apart is not computed. Every strut must be pinned or bolted "
                  "at both ends and hold a pull of {pull}; hang that on a joint of the same make first.",
                  pull=Number(math.ceil(pull_n / 10) * 10, 0, "N"))


def _ladder(limits: Sequence[Limit]) -> Answer:
    about, push = say("A ladder leans on it"), ladder_push_n()
    if not limits:
        return Answer(about, "waits", say("It is being worked out"), (_UNKNOWN,))
    good, bad = that_bear(limits, push), that_do_not(limits, push)
    return Answer(about, "stop" if bad else "fitted", _ladder_head(good, bad), (
        *_only_at(good, bad), *_weakest(good, bad),
        say("With {load} three quarters up, at 75°, it pushes sideways with {force}.",
            load=Number(LADDER_LOAD_KG, 0, "kg"), force=force(push))))


def _ladder_head(good: Sequence[str], bad: Sequence[Limit]) -> Said:
    if not bad:
        return say("A ladder may lean anywhere")
    if not good:
        return say("No ladder may lean on it")
    hubs, all_hubs = _hubs(good), _hubs([*good, *(limit.at for limit in bad)])
    if len(hubs) == len(good):
        return say("Never on a strut. A ladder may lean on {n} hubs of {all}", n=len(hubs), all=len(all_hubs))
    return say("A ladder may lean on {n} hubs of {all} and on some struts", n=len(hubs), all=len(all_hubs))


def _only_at(good: Sequence[str], bad: Sequence[Limit]) -> Iterator[Said]:
    """The hubs that do not bear it, or those that do, whichever are fewer; and the struts that do."""
    wrong, right = _hubs(sorted(limit.at for limit in bad)), _hubs(sorted(good))
    if not good or not bad:
        return
    if wrong and len(wrong) <= len(right):
        yield say("Not at {places}.", places=row(wrong, most=MOST_PLACES))
    elif wrong:
        yield say("Only at {places}.", places=row(right, most=MOST_PLACES))
    if struts := sorted(set(good) - set(right)):
        yield say("Of the struts only {places}.", places=row(struts, most=MOST_PLACES))


def _weakest(good: Sequence[str], bad: Sequence[Limit]) -> Iterator[Said]:
    if bad:
        yield say("The weakest is {place}: it bears {force}, then {cause}.", place=bad[0].at,
                  force=force(bad[0].value), cause=gives_way(bad[0].governs))
    best = max(bad, key=lambda limit: limit.value, default=None)
    if best is not None and not good and best.value > 1.1 * bad[0].value:
        yield say("The strongest is {place}: it bears {force}, then {cause}.", place=best.at,
                  force=force(best.value), cause=gives_way(best.governs))


def _lost(found: Sequence[Lost], to_do: int, *, hubs: bool) -> Answer:
    about = say("A hub is lost") if hubs else say("A strut is lost")
    if to_do:
        return Answer(about, "waits", say("It is being worked out"),
                      (say_n("The loss of {n} part is still to be worked out: until then count on nothing.",
                             "The loss of {n} parts is still to be worked out: until then count on nothing.", to_do),))
    falls = [each for each in found if not each.stands]
    return Answer(about, "stop" if falls else "fitted", _lost_head(found, falls, hubs=hubs),
                  (*_falls(falls), *_left(found, falls)))


def _lost_head(found: Sequence[Lost], falls: Sequence[Lost], *, hubs: bool) -> Said:
    if not falls:
        return say("Without any one hub the rest stands: keep off it until that is mended") if hubs else \
            say("Without any one strut the rest stands: keep off it until that is mended")
    if hubs:
        return say_n("{n} hub of {all} must not be lost: it falls or breaks without it",
                     "{n} hubs of {all} must not be lost: it falls or breaks without any of them", len(falls),
                     all=len(found))
    return say_n("{n} strut of {all} must not be lost: it falls or breaks without it",
                 "{n} struts of {all} must not be lost: it falls or breaks without any of them", len(falls),
                 all=len(found))


def _falls(falls: Sequence[Lost]) -> Iterator[Said]:
    """What must not be lost, and what happens at the worst of it."""
    if not falls:
        return
    yield say("Clear the frame at once if one of these is lost: {places}.",
              places=row(sorted(each.place for each in falls), most=MOST_PLACES))
    worst = next(worst_of(falls))
    if worst.moves:
        yield say("Without {place} it folds: {hubs} can move.", place=worst.place, hubs=row(worst.moves, most=4))
    else:
        yield say("Without {place} its own weight is too much for it: used {use} times over, with the safety factors.",
                  place=worst.place, use=Number(worst.use, 1))


def _left(found: Sequence[Lost], falls: Sequence[Lost]) -> Iterator[Said]:
    """The least push and wind that any other loss leaves."""
    standing = [each for each in found if each.stands]
    pushes = [(each.push, each) for each in standing if each.push is not None]
    if pushes:
        push, lost = min(pushes, key=lambda pair: (pair[0].value, pair[1].place))
        values: dict[str, Value] = {"force": force(push.value), "place": lost.place, "hub": push.at,
                                    "cause": gives_way(push.governs)}
        yield say("Whichever other is lost: push no hub with more than {force}. That is without {place}, at {hub}: "
                  "{cause}.", **values) if falls else \
            say("Whichever is lost: push no hub with more than {force}. That is without {place}, at {hub}: {cause}.",
                **values)
    winds = [(each.wind, each) for each in standing if each.wind is not None]
    if winds:
        wind, lost = min(winds, key=lambda pair: (pair[0].value, pair[1].place))
        yield say("Clear it then from gusts of {last} m/s at the frame: without {place} it bears {speed} m/s, {cause}.",
                  last=_down_m_s(WIND_ACTION_FRACTIONS[1] * wind.value), speed=_down_m_s(wind.value),
                  place=lost.place, cause=gives_way(wind.governs))


def _down_m_s(speed_m_s: float) -> Number:
    """Rounded down to a tenth, so that it never promises too much."""
    return Number(math.floor(10 * speed_m_s + 1e-9) / 10, 1)
