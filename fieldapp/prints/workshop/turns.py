"""How a hub class lies on its blank: where "up" is for each place, and which arm is number 1 there.

Places of one class may show the same pattern turned: what is cut is the same, what is up is not.
Angles on a blank count clockwise seen from outside, from the up direction of its first turn.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.frame.frame import FloatArray, Frame, HubClass, HubPlace

SAME_UP_DEG = 0.02
"""Up directions that differ by less, or by less than the class tolerance, are one [deg]."""


@dataclass(frozen=True, slots=True)
class BlankPosition:
    """Places that show the blank in one position."""

    up_deg: float
    """Where up is on the blank [deg]."""
    arm_numbers: tuple[int, ...]
    """For each arm of the blank its number at these places."""
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Blank:
    """One hub class as it is cut."""

    hub_class: HubClass
    arms_deg: tuple[float, ...]
    """Direction of each arm on the blank, 0 ≤ a < 360, in the order of arm numbers of the first turn [deg]."""
    dips_deg: tuple[float, ...]
    strut_classes: tuple[str, ...]
    """Letter of the struts that each arm takes; more than one if places differ, e.g. `B/C`."""
    turns: tuple[BlankPosition, ...]
    """Most places first."""

    @property
    def gaps_deg(self) -> tuple[float, ...]:
        """From each arm clockwise to the next [deg]."""
        after = (*self.arms_deg[1:], self.arms_deg[0] + 360.0)
        return tuple((later - here) % 360.0 or 360.0 for here, later in zip(self.arms_deg, after, strict=True))


@dataclass(frozen=True, slots=True)
class _Seat:
    """One place laid on its class pattern."""

    hub: HubPlace
    up_deg: float
    first: int
    """Arm of the pattern that is arm 1 here."""


def blanks(frame: Frame, tolerance_deg: float) -> tuple[Blank, ...]:
    """The blank of every hub class; the second of a handed pair is drawn as a mirror shows the first, if it can be."""
    made: dict[str, Blank] = {}
    for hub_class in frame.hub_classes:
        twin = made.get(hub_class.mirror or "")
        made[hub_class.name] = _blank(frame, hub_class, tolerance_deg, twin=twin)
    return tuple(made.values())


def _blank(frame: Frame, hub_class: HubClass, tolerance_deg: float, *, twin: Blank | None) -> Blank:
    """The blank of one class, up at its top for the turn that most places have."""
    angles = np.concatenate(([0.0], np.cumsum(hub_class.gaps_deg)[:-1]))
    seats = [_seat(hub, hub_class, angles, tolerance_deg=tolerance_deg) for hub in frame.hubs
             if hub.hub_class == hub_class.name]
    groups = _grouped(seats, max(SAME_UP_DEG, tolerance_deg))
    groups.sort(key=lambda group: (not _mirrors(group[0].hub, twin, tolerance_deg), -len(group), group[0].hub.name))
    count, base = len(angles), groups[0][0]
    order = [(base.first + arm) % count for arm in range(count)]
    arms = tuple(float(round((angles[arm] - base.up_deg) % 360.0, 6) % 360.0) for arm in order)
    turns = tuple(BlankPosition(round((group[0].up_deg - base.up_deg) % 360.0, 6) % 360.0,
                                tuple((arm - group[0].first) % count + 1 for arm in order),
                                tuple(seat.hub.name for seat in group)) for group in groups)
    letters = tuple(_letters(frame, seats, arm) for arm in order)
    return Blank(hub_class, arms, tuple(hub_class.dips_deg[arm] for arm in order), letters, turns)


def _seat(hub: HubPlace, hub_class: HubClass, angles: FloatArray, *, tolerance_deg: float) -> _Seat:
    """The place laid on the pattern: of all positions that fit as well as the class demands, the least turned.

    Source: (D5). Test: tests/prints/workshop/test_workshop.py
    """
    own = np.array([arm.azimuth_deg for arm in hub.arms])
    dips = np.array([arm.dip_deg for arm in hub.arms])
    fits: list[tuple[float, float, int]] = []
    for first in range(len(angles)):
        off = (np.roll(angles, -first) - own + 180.0) % 360.0 - 180.0
        near = (off - off[0] + 180.0) % 360.0 - 180.0
        up = off[0] + near.mean()
        gap = max(float(np.abs(near - near.mean()).max()),
                  float(np.abs(np.roll(hub_class.dips_deg, -first) - dips).max()))
        fits.append((gap, float((up + SAME_UP_DEG) % 360.0 - SAME_UP_DEG), first))
    best = min(gap for gap, _, _ in fits)
    _, up, first = min((fit for fit in fits if fit[0] <= max(best + 1e-6, tolerance_deg)), key=lambda fit: fit[1])
    return _Seat(hub, up, first)


def _grouped(seats: Sequence[_Seat], same_deg: float) -> list[list[_Seat]]:
    """Seats with one up direction; places in order."""
    groups: list[list[_Seat]] = []
    for seat in sorted(seats, key=lambda seat: (seat.up_deg, seat.hub.name)):
        if groups and seat.first == groups[-1][0].first and seat.up_deg - groups[-1][0].up_deg <= same_deg:
            groups[-1].append(seat)
        else:
            groups.append([seat])
    return [sorted(group, key=lambda seat: seat.hub.name) for group in groups]


def _mirrors(hub: HubPlace, twin: Blank | None, tolerance_deg: float) -> bool:
    """Whether the arms of a place are those of the twin's blank in a mirror; True without a twin."""
    if twin is None:
        return True
    own = sorted((arm.azimuth_deg + 180.0) % 360.0 for arm in hub.arms)
    other = sorted((180.0 - angle) % 360.0 for angle in twin.arms_deg)
    return len(own) == len(other) and bool(np.abs(np.subtract(own, other)).max() <= max(SAME_UP_DEG, tolerance_deg))


def _letters(frame: Frame, seats: Sequence[_Seat], arm: int) -> str:
    """Classes of the struts that an arm of the pattern takes at all places."""
    found = {frame.strut(_arm_strut(seat, arm)).strut_class for seat in seats}
    return "/".join(sorted(found, key=lambda letter: (len(letter), letter)))


def _arm_strut(seat: _Seat, arm: int) -> str:
    """The strut on an arm of the pattern."""
    return seat.hub.arms[(arm - seat.first) % len(seat.hub.arms)].strut


def turn_names(blank: Blank) -> Iterator[tuple[str, BlankPosition]]:
    """Turns with their names: `` if there is only one, else `turn 1`, `turn 2` …"""
    for number, turn in enumerate(blank.turns, start=1):
        yield ("" if len(blank.turns) == 1 else f"turn {number}"), turn
