"""In which turned positions a hub made for one place fits another."""

import numpy as np

from fieldapp.frame import patterns
from fieldapp.frame.frame import FloatArray, HubPlace


def hub_turns(made_for: HubPlace, at: HubPlace, tolerance_deg: float) -> tuple[tuple[int, ...], ...]:
    """Every way to turn a hub made for one place so that it fits at another, outside face out.

    Source: (F7). Test: tests/frame/test_turning.py, tests/kit/test_interchange.py

    Parameters
    ----------
    made_for, at : HubPlace
        The place whose arms the hub has, and the place where it shall sit; may be the same.
    tolerance_deg : float
        Greatest difference of any gap or dip. [deg]

    Returns
    -------
    tuple of tuple of int
        One entry per position: for arm 1, 2 … of `made_for` the arm number of `at` that it becomes.
        Empty if the hub does not fit (a mirror twin does not). The position with the least turn of
        the numbers comes first, so a hub at its own place starts with (1, 2, …).

    Examples
    --------
    >>> from fieldapp.frame.build import build_frame
    >>> from fieldapp.frame.design import Design, FrameSection
    >>> frame = build_frame(Design(frame=FrameSection(frequency=3, cut="4/9", diameter_m=5.0)))
    >>> crown, front, second = frame.hub("H46"), frame.hub("H01"), frame.hub("H02")
    >>> len(hub_turns(crown, crown, 0.05)), hub_turns(front, front, 0.05), hub_turns(front, second, 0.05)
    (5, ((1, 2, 3, 4),), ())
    """
    own, other = arm_pattern(made_for), arm_pattern(at)
    count = len(own)
    if count != len(other):
        return ()
    fits = np.abs(patterns.turns(other) - own).max(axis=(1, 2)) <= tolerance_deg
    return tuple(tuple((arm + turn) % count + 1 for arm in range(count)) for turn in np.flatnonzero(fits).tolist())


def arm_pattern(hub: HubPlace) -> FloatArray:
    """(k, 2) angle to the next arm and dip of every arm of a place, from its arm 1 [deg].

    Examples
    --------
    >>> from fieldapp.frame.frame import Arm
    >>> arms = (Arm(1, "S001", 1, 10.0, 5.0), Arm(2, "S002", 1, 100.0, 6.0))
    >>> arm_pattern(HubPlace("H01", 1, 1, "1", arms, True)).tolist()
    [[90.0, 5.0], [270.0, 6.0]]
    """
    azimuth_deg = np.array([arm.azimuth_deg for arm in hub.arms])
    dip_deg = np.array([arm.dip_deg for arm in hub.arms])
    return patterns.pattern_of(azimuth_deg, dip_deg)
