"""The states of an exchange: which struts come off first, and what is in after each act."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fieldapp.frame.frame import Frame
from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.plan.assemble import other_hub
from fieldapp.plan.exchange.record import Between, ExchangeCase
from fieldapp.plan.fitted import Fitted


def comes_off(frame: Frame, fitted: Fitted, place: str) -> tuple[str, ...]:
    """Struts that come off for it, in order: of a hub all that are on it, those to the highest hubs first.

    So the last ones are those on which it was set when the frame went up.
    """
    if place in frame.strut_index:
        return ()
    inside = set(fitted.struts)
    on = [arm.strut for arm in frame.hub(place).arms if arm.strut in inside]
    return tuple(sorted(on, key=lambda strut: (-_height_mm(frame, other_hub(frame.strut(strut), place)), strut)))


def around(frame: Frame, fitted: Fitted, place: str) -> tuple[str, ...]:
    """Hubs that are in and that a strut ties to it, or the two hubs of a strut."""
    if place in frame.strut_index:
        strut = frame.strut(place)
        found = [strut.end_1.hub, strut.end_2.hub]
    else:
        found = [other_hub(frame.strut(strut), place) for strut in comes_off(frame, fitted, place)]
    return tuple(hub for hub in dict.fromkeys(found) if hub in fitted.hubs)


def states(of: ExchangeCase, place: str, *, loosened: str = "") -> tuple[Between, ...]:
    """Every state: as it is, each strut off, the part out, the struts back one by one, whole again.

    Where arms sit deep in struts a hub is loosened on all of them before one can come off or go on: then its struts
    count as hanging on their far hubs alone (P24). `loosened`: the end of a strut at which that is done.
    """
    frame, fitted = of.broken.frame, of.fitted
    off = comes_off(frame, fitted, place)
    loose = loosened or (place if off and insertion_depth_mm(of.broken.design) > 0.0 else "")
    return tuple(_states(frame, fitted, place, off=off, loose=loose))


def _states(frame: Frame, fitted: Fitted, place: str, *, off: Sequence[str], loose: str) -> Iterator[Between]:
    steps = range(len(off))
    for count in steps or (0,):
        yield without(fitted, off[:count], renewed=False)
    yield without(fitted, (*off, place), renewed=True)
    if loose:
        yield _loosened(frame, fitted, place, hub=loose)
    for count in reversed(steps or (0,)):
        yield without(fitted, off[:count], renewed=True)


def _loosened(frame: Frame, fitted: Fitted, place: str, *, hub: str) -> Between:
    """The part out, and nothing tied to this hub: its struts hang on their far hubs; hands have the hub."""
    out = without(fitted, (place,), renewed=True)
    inside = set(out.fitted.struts)
    ends = tuple((arm.strut, arm.end) for arm in frame.hub(hub).arms if arm.strut in inside)
    return replace(without(out.fitted, tuple(dict.fromkeys((place, hub))), renewed=True), hanging=ends)


def without(fitted: Fitted, out: Sequence[str], *, renewed: bool) -> Between:
    """What is in when these places are empty; feet that are out keep nothing."""
    gone = frozenset(out)
    hubs, stands_on, carried_at, pegged = (tuple(hub for hub in hubs if hub not in gone) for hubs in (
        fitted.hubs, fitted.stands_on, fitted.carried_at, fitted.pegged))
    struts = tuple(strut for strut in fitted.struts if strut not in gone)
    return Between(replace(fitted, hubs=hubs, struts=struts, stands_on=stands_on, carried_at=carried_at,
                           pegged=pegged, last=()), tuple(out), renewed)


def _height_mm(frame: Frame, hub: str) -> float:
    return round(float(frame.position_mm(hub)[2]), 3)
