"""Rules of the site and cautions of the work, for booklet and poster. Wording is our own.

Ladder rules follow HSE INDG402 and safe-construction.dk; wind fractions Cardiff Council's Bute Park event guide, 22 Apr
2020; the release of repaired parts and the rest are common practice, no source.
"""

import math

from fieldapp.base.constants import ON_LADDERS_M_S, WIND_ACTION_FRACTIONS
from fieldapp.base.joints.joint import Assembly
from fieldapp.base.numbers import decimal
from fieldapp.base.words import _, marked
from fieldapp.statics.wind import gust_ratio, sign_below

_SIGNS = (
    marked("any wind stirs"),
    marked("smoke drifts and leaves barely stir"),
    marked("you feel the wind on your face and leaves rustle"),
    marked("leaves and thin twigs never rest"),
    marked("dust and loose paper fly up"),
    marked("small trees in leaf sway"),
    marked("big branches move"),
)
"""What is seen on land at Beaufort 0 to 6 (in no formula).
Source: the Beaufort scale of the World Meteorological Organization, in our own words."""


def site_rules(how: Assembly, wind_limit_m_s: float | None = None, terrain: str = "IV") -> tuple[str, ...]:
    """What everybody on site is told before the first part is lifted.

    Parameters
    ----------
    how : Assembly
        How this kit is put together.
    wind_limit_m_s : float or None
        Lowest gust that a stage of the raise bears; None if it is not computed. [m/s]
    terrain : str
        Category of the site, "0" to "IV": how rough the wind is there.
    """
    return (
        _("Do one step at a time, in the order of the booklet. Ask before you change it."),
        _(how.hanging),
        _("Whoever holds a hub holds it until the book says let go. Do not leave; call for a relief."),
        _(how.push),
        _("Nobody stands under a part that is being lifted. Nobody climbs or leans on the frame."),
        _("Ladders: one person each, somebody at the foot, top two steps of a stepladder empty."),
        wind_rule(wind_limit_m_s, terrain),
        _("Broken, bent or wet part: mark it, take it out, log it. It comes back only on a named person's release."),
    )


def wind_rule(limit_m_s: float | None, terrain: str = "IV") -> str:
    """When to stop for wind: by the frame or by the people on ladders, whichever comes first; speeds rounded down.

    Source: (S17); our choice for people on ladders. Test: tests/wording/test_site_rules.py

    Notes
    -----
    The computed limit knows the frame only. Speeds are gusts. A sign of the Beaufort scale stands for a mean of ten
    minutes: the one is told whose gusts, where it begins, are not above the speed.

    Examples
    --------
    >>> wind_rule(6.0, "II")
    'Wind: make ready to stop at gusts of 3.6 m/s, come down and leave at 4.8 m/s, as a wind meter at the frame shows \
them. Without one: make ready when smoke drifts and leaves barely stir, leave when you feel the wind on your face and \
leaves rustle. Such signs show the mean of ten minutes; gusts are up to 1.8 times as strong. In thunder leave at once.'
    """
    speeds = list(ON_LADDERS_M_S)
    for number, share in enumerate(WIND_ACTION_FRACTIONS):
        if limit_m_s is not None and share * limit_m_s < speeds[number]:
            speeds[number] = math.floor(10.0 * share * limit_m_s + 1e-9) / 10.0
    first, last = (decimal(speed, 1) for speed in speeds)
    leave = min(sign_below(speeds[1], terrain), len(_SIGNS) - 1)
    ready = max(min(sign_below(speeds[0], terrain), leave - 1), 0)
    return _("Wind: make ready to stop at gusts of {first} m/s, come down and leave at {last} m/s, as a wind meter at "
             "the frame shows them. Without one: make ready when {ready_sign}, leave when {leave_sign}. Such signs "
             "show the mean of ten minutes; gusts are up to {ratio} times as strong. In thunder leave at once.").format(
                 first=first, last=last, ready_sign=_(_SIGNS[ready]), leave_sign=_(_SIGNS[leave]),
                 ratio=decimal(math.ceil(10.0 * gust_ratio(terrain) - 1e-9) / 10.0, 1))
