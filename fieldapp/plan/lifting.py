"""How many people a lift takes, by mass."""

import math

from fieldapp.base.constants import LIFT_ABOVE_SHOULDER_CLOSE_KG


def lifters_for_mass(mass_kg: float) -> int:
    """People needed to raise `mass_kg` above the shoulder, held close, spread evenly over them.

    Notes
    -----
    The filter's figure for women above the shoulder, since the crew is mixed. Above the filter a
    proper assessment of the lift is due; the number is a first sieve, not a permission.

    Examples
    --------
    >>> lifters_for_mass(20.0)
    3
    """
    return max(1, math.ceil(mass_kg / LIFT_ABOVE_SHOULDER_CLOSE_KG["women"] - 1e-9))
