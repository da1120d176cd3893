"""How large a symbol may be on a round tube.

Across a tube of radius R a symbol of width w (without quiet zone) spans the angle
w / R. A decoder lays a flat grid through the corners of the symbol; on the curve the true grid departs from it, seen
from straight above by 0.064 (w / 2R)³ R and with the tube turned by t by sin t (w / 2R)² R / 2 at most, and from about
a third of a module on the symbol is lost. Tried on rendered tubes of 35 and 100 mm with zxing-cpp
(`tests/bench/bench_reading.py`, 12 pictures each): 50° is always read up to 9° off the line of sight, 75° up to 3°,
80° not even always from straight above. So symbols are drawn to span `AIM_ARC_DEG`, module = that angle in radians
× R / modules of a side; on thin tubes they may span up to `MOST_ARC_DEG` to keep `room.LEAST_MODULE_MM`; a tube too
thin for that carries no symbol, and the warning says to hang a tag on it.
"""

import math
from typing import Final

from labels.room import LEAST_MODULE_MM

AIM_ARC_DEG: Final = 50.0
"""Angle that a symbol without its quiet zone spans round a tube [deg].
Source: our choice, tried on rendered tubes (L4). Test: tests/labels/test_wrap.py"""
MOST_ARC_DEG: Final = 75.0
"""The widest such angle, where modules would be too small [deg].
Source: our choice, tried on rendered tubes (L4). Test: tests/labels/test_wrap.py"""


OFF_MODULES: Final = 0.55
"""By this much the grid of a symbol that is turned away may be off at most, and it is still read [modules].
Source: our choice, tried on rendered tubes (L6): lost from 0.57 on. Test: tests/labels/test_wrap.py"""


def reading_deg(tube_mm: float, module_mm: float, modules: int) -> float:
    """How far a symbol round a tube may be turned off the line of sight and is still read in one plain pass [deg].

    Source: (L6). Test: tests/labels/test_wrap.py

    Examples
    --------
    >>> [round(reading_deg(35.0, module_mm, 25), 1) for module_mm in (0.5, 0.61)]
    [14.3, 11.7]
    """
    return math.degrees(math.asin(min(1.0, 4 * OFF_MODULES * tube_mm / (modules ** 2 * module_mm))))


def module_on_tube_mm(tube_mm: float, modules: int) -> float:
    """Module of a symbol round a tube; 0 if the tube is too thin for one that can be read.

    Source: (L4). Test: tests/labels/test_wrap.py

    Parameters
    ----------
    tube_mm : float
        Outer diameter [mm].
    modules : int
        Along a side, without quiet zone.

    Examples
    --------
    >>> [round(module_on_tube_mm(tube_mm, 25), 2) for tube_mm in (60.0, 35.0, 22.0, 18.0)]
    [1.05, 0.61, 0.5, 0.0]
    """
    aim, most = (math.radians(arc) * tube_mm / 2 / modules for arc in (AIM_ARC_DEG, MOST_ARC_DEG))
    if most < LEAST_MODULE_MM:
        return 0.0
    return max(aim, LEAST_MODULE_MM)
