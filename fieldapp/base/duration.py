"""How long a load lasts and how damp it is: what both leave of a strength, by kind of material.

One combination of loads counts with one duration, that of its shortest load (EN 1995-1-1 3.1.3 (2)): pushes, wind and
people make it short. The weight alone is a combination, too, and lasts as long as the frame stands: the least counts.
"""

from typing import Literal

Family = Literal["timber", "plywood", "paper", "steel", "aluminium"]
Duration = Literal["permanent", "long", "medium", "short", "instantaneous"]
Stands = Literal["hours", "a weekend", "weeks", "for good"]

DURATIONS: tuple[Duration, ...] = ("permanent", "long", "medium", "short", "instantaneous")
"""Load-duration classes: over 10 years, over half a year, over a week, up to a week, a moment.
Source: EN 1995-1-1 2.3.1.2, Table 2.1. Test: tests/base/test_duration.py"""

SHORTEST: Duration = "short"
"""Load duration of whatever people or wind do to the frame; never counted as instantaneous, for which wood has more.
Source: EN 1995-1-1 3.1.3 (2); wind and pushes as short, not instantaneous: our choice.
Test: tests/base/test_duration.py, tests/statics/test_capacity.py"""

WEIGHT_LASTS: dict[Stands, Duration] = {"hours": "short", "a weekend": "short", "weeks": "medium",
                                          "for good": "permanent"}
"""Load duration of the weight alone, by how long the frame stands: up to a week, up to half a year, for good.
Source: EN 1995-1-1 2.3.1.2, Table 2.1. Test: tests/base/test_duration.py"""

_WOOD_DRY = (0.60, 0.70, 0.80, 0.90, 1.10)
"""By `DURATIONS`; see `K_MOD` (in no formula)."""
_WOOD_WET = (0.50, 0.55, 0.65, 0.70, 0.90)
"""By `DURATIONS`; see `K_MOD` (in no formula)."""
_PAPER = (0.20, 0.20, 0.30, 0.60, 0.80)
"""By `DURATIONS`; see `K_MOD` (in no formula)."""
_METAL = (1.0, 1.0, 1.0, 1.0, 1.0)
"""By `DURATIONS`; see `K_MOD` (in no formula)."""
DAMP_PAPER = (1.0, 0.7, 0.4)
"""What damp leaves of paper in service class 1, 2, 3 [1]: (B1) at 7, 10 and 13 % of moisture.
Source: our choice; Correa, Structural Engineering International 14, 2004. Test: tests/base/test_duration.py"""


def _damp(share: float) -> tuple[float, ...]:
    return tuple(share * left for left in _PAPER)


K_MOD: dict[Family, tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]] = {
    "timber": (_WOOD_DRY, _WOOD_DRY, _WOOD_WET),
    "plywood": (_WOOD_DRY, _WOOD_DRY, _WOOD_WET),
    "paper": (_damp(DAMP_PAPER[0]), _damp(DAMP_PAPER[1]), _damp(DAMP_PAPER[2])),
    "steel": (_METAL, _METAL, _METAL),
    "aluminium": (_METAL, _METAL, _METAL),
}
"""Strength left under lasting load and moisture [1]: service class 1, 2, 3, each by `DURATIONS`.

Source: timber, plywood: EN 1995-1-1 Table 3.1, reproduced in the ICE Manual of Structural Design: Buildings (2012),
Table 19.9. Paper: permanent and long 0.20 of a characteristic value that is half of the mean, so 0.10 of the mean: it
creeps from there on (Correa 2004), less than the 0.28 that one tube held for a year (Tezuka & Ito 1990-91); our choice,
as are the steps between, and `DAMP_PAPER`. Metals lose nothing.
Test: tests/base/test_duration.py
"""

GAMMA_M: dict[Family, float] = {"timber": 1.30, "plywood": 1.20, "paper": 1.50, "steel": 1.00, "aluminium": 1.10}
"""Partial factor of the material [1].

Source: timber, plywood: EN 1995-1-1 Table 2.3; steel: EN 1993-1-1 6.1, gamma_M0 and gamma_M1, reproduced in Steel
Buildings in Europe, part 10, Table 2.1; aluminium: EN 1999-1-1 6.1.3, gamma_M1, in T. Hoeglund, Strength and stability
of aluminium members (European Commission, dissemination workshop, Brussels 2008), page 2; paper: our choice.
Test: tests/base/test_materials.py
"""


def k_mod(family: Family, service_class: int, duration: Duration) -> float:
    """Strength left under a load of this duration in service class 1, 2 or 3.

    Source: EN 1995-1-1 Table 3.1; see `K_MOD`. Test: tests/base/test_duration.py
    """
    return K_MOD[family][service_class - 1][DURATIONS.index(duration)]


def lasting_share(family: Family, service_class: int, stands: Stands) -> float:
    """What the weight alone may use of the strength against short loads: less, the longer the frame stands.

    Source: (B2): EN 1995-1-1 3.1.3 (2), Table 3.1. Test: tests/base/test_duration.py

    Examples
    --------
    >>> [round(lasting_share("timber", 2, stands), 3) for stands in ("a weekend", "weeks", "for good")]
    [1.0, 0.889, 0.667]
    >>> round(lasting_share("paper", 2, "for good"), 3)
    0.333
    """
    return min(1.0, k_mod(family, service_class, WEIGHT_LASTS[stands]) / k_mod(family, service_class, SHORTEST))
