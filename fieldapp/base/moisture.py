"""What damp takes from a part: strength left at a measured moisture, against what the statics reckon with.

The statics take strengths at the design's service class (`duration.K_MOD`). A part that is damper than
that class has less; one that is drier counts no higher.
"""

from fieldapp.base.duration import SHORTEST, Family, k_mod

PAPER_DRY_PERCENT = 7.0
"""Up to this moisture paper tube loses little [%].
Source: Correa, Structural Engineering International 14, 2004. Test: tests/reference/test_moisture.py"""

PAPER_LOSS_PER_PERCENT = 0.10
"""Part of the dry strength lost for each 1 % of moisture beyond [1].
Source: Correa, Structural Engineering International 14, 2004. Test: tests/reference/test_moisture.py"""

WOOD_CLASS_PERCENT = (12.0, 20.0)
"""Mean moisture of most softwoods in service class 1 and 2 at most [%]; damper is class 3.
Source: EN 1995-1-1 2.3.1.3, notes, reproduced at onlinestructuraldesign.com. Test: tests/reference/test_moisture.py"""

FIBRE_SATURATION_PERCENT = 30.0
"""Moisture beyond which wood has free water in it [%].
Source: common practice, no source. Test: tests/reference/test_published_values.py"""

def moisture_factor(family: Family, moisture_percent: float, service_class: int) -> float:
    """Part of the strength in the statics that is left at a moisture.

    Source: (B1): paper Correa 2004, wood EN 1995-1-1 Table 3.1. Test: tests/reference/test_moisture.py

    Parameters
    ----------
    family : str
        Of the material.
    moisture_percent : float
        As the meter says. [% of dry mass]
    service_class : int
        Of the design: 1, 2 or 3.

    Returns
    -------
    float
        From 0 to 1. Metals lose nothing.

    Notes
    -----
    Paper: 1 − 0.10 (m − 7), straight on to 0, divided by what the design's class has taken off already
    (× 0.7 in class 2, × 0.4 in class 3). Wood: k_mod of the class that the moisture belongs to over k_mod of
    the design's class, for short loads, where damp takes most (EN 1995-1-1 Table 3.1).

    Examples
    --------
    >>> [round(moisture_factor("paper", m, 1), 3) for m in (6.0, 7.0, 9.0, 20.0)]
    [1.0, 1.0, 0.8, 0.0]
    >>> [round(moisture_factor("paper", 15.0, of), 3) for of in (2, 3)]
    [0.286, 0.5]
    >>> [round(moisture_factor("timber", m, 2), 3) for m in (14.0, 20.0, 24.0)]
    [1.0, 1.0, 0.778]
    """
    if family == "paper":
        return min(1.0, paper_strength_left(moisture_percent) / _assumed(family, service_class))
    if family in ("timber", "plywood"):
        return min(1.0, _assumed(family, wood_service_class(moisture_percent)) / _assumed(family, service_class))
    return 1.0


def paper_strength_left(moisture_percent: float) -> float:
    """Part of the dry strength that a paper tube keeps at a moisture.

    Source: (B1): Correa, Structural Engineering International 14, 2004. Test: tests/reference/test_moisture.py

    Examples
    --------
    >>> round(paper_strength_left(10.0), 3)
    0.7
    """
    return min(1.0, max(0.0, 1.0 - PAPER_LOSS_PER_PERCENT * (moisture_percent - PAPER_DRY_PERCENT)))


def wood_service_class(moisture_percent: float) -> int:
    """The service class that wood of this moisture belongs to.

    Source: EN 1995-1-1 2.3.1.3. Test: tests/reference/test_moisture.py

    Examples
    --------
    >>> wood_service_class(12.0), wood_service_class(12.1), wood_service_class(20.5)
    (1, 2, 3)
    """
    return 1 + sum(moisture_percent > limit for limit in WOOD_CLASS_PERCENT)


def _assumed(family: Family, service_class: int) -> float:
    """Strength in a service class against class 1."""
    return k_mod(family, service_class, SHORTEST) / k_mod(family, 1, SHORTEST)
