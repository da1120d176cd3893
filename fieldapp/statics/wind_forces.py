"""What the wind takes hold of: force coefficients of flat arms, as breadths of a round tube that is pushed as hard."""

import numpy as np

from fieldapp.base.constants import BARE_STRUT_FORCE_COEFFICIENT
from fieldapp.base.sections import Section
from fieldapp.statics.make import Make

RECTANGLE = ((0.2, 2.0), (0.6, 2.35), (0.7, 2.4), (1.0, 2.1), (2.0, 1.65), (5.0, 1.0), (10.0, 0.9))
"""(depth along the wind ÷ breadth across it, c_f,0) of a long rectangle with sharp edges [1].
Source: EN 1991-1-4 Figure 7.23, from a transcription. Test: tests/reference/test_en_1991_1_4.py"""


def rectangle_coefficient(depth_over_breadth: float) -> float:
    """Force on a long flat bar ÷ (breadth × length × q), the wind square to its face; no reduction for its length.

    Source: EN 1991-1-4 7.6 and Figure 7.23, straight lines over the logarithm.
    Test: tests/reference/test_en_1991_1_4.py

    Examples
    --------
    >>> round(rectangle_coefficient(24.0 / 45.0), 3)
    2.312
    """
    ratios, values = zip(*RECTANGLE, strict=True)
    return float(np.interp(np.log(depth_over_breadth), np.log(ratios), values))


def arm_breadth_mm(make: Make) -> float:
    """Breadth of a round tube on which the wind pushes as on the arm: of its two faces the one that is pushed harder.

    Source: (S16): EN 1991-1-4 Figure 7.23. Test: tests/reference/test_en_1991_1_4.py
    """
    if make.joint.member.rigid or make.joint.member.arm_of != "hub":
        return make.tube.wind_width_mm
    return _flat_breadth_mm(make.arm)


def _flat_breadth_mm(arm: Section) -> float:
    """The same of a rectangle."""
    sides = arm.wind_width_mm, arm.area_mm2 / arm.wind_width_mm
    hardest = max(rectangle_coefficient(along / across) * across for across, along in (sides, sides[::-1]))
    return max(hardest / BARE_STRUT_FORCE_COEFFICIENT, arm.wind_width_mm)
