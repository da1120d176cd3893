"""Rules of the site and cautions of the work, for booklet and poster. Wording is our own.

Ladder rules follow HSE INDG402 and safe-construction.dk; wind fractions Cardiff Council's Bute Park event guide, 22 Apr
2020; the release of repaired parts and the rest are common practice, no source.
"""

import math

from fieldapp.base.constants import BEAUFORT_BEGINS_M_S, WIND_ACTION_FRACTIONS
from fieldapp.base.joints.joint import Assembly
from fieldapp.base.numbers import decimal
from fieldapp.base.words import _

ON_LADDERS_M_S = (BEAUFORT_BEGINS_M_S[4], BEAUFORT_BEGINS_M_S[5])
"""Gusts at which people on ladders make ready, and come down [m/s].
Source: common practice, no source. Test: tests/prints/posters/test_posters.py"""


def site_rules(how: Assembly, wind_limit_m_s: float | None = None) -> tuple[str, ...]:
    """What everybody on site is told before the first part is lifted.

    Parameters
    ----------
    how : Assembly
        How this kit is put together.
    wind_limit_m_s : float or None
        Lowest gust that a stage of the raise bears; None if it is not computed. [m/s]
    """
    return (
        _("Do one step at a time, in the order of the booklet. Ask before you change it."),
        _(how.hanging),
        _("Whoever holds a hub holds it until the book says let go. Do not leave; call for a relief."),
        _(how.push),
        _("Nobody stands under a part that is being lifted. Nobody climbs or leans on the frame."),
        _("Ladders: one person each, somebody at the foot, top two steps of a stepladder empty."),
        wind_rule(wind_limit_m_s),
        _("Broken, bent or wet part: mark it, take it out, log it. It comes back only on a named person's release."),
    )


def wind_rule(limit_m_s: float | None) -> str:
    """When to stop for wind: by the frame or by the people on ladders, whichever comes first; speeds rounded down.

    Source: common practice, no source. Test: tests/prints/posters/test_posters.py

    Notes
    -----
    The computed limit knows the frame only. People on ladders make ready at Beaufort 4 and come down at Beaufort 5:
    common practice, no source.

    Examples
    --------
    >>> wind_rule(None)
    'Wind: make ready to stop at gusts of 5.5 m/s (twigs move), come down and leave at 8.0 m/s (small trees sway). \
In thunder leave at once.'
    >>> wind_rule(6.0)
    'Wind: make ready to stop at gusts of 3.6 m/s, come down and leave at 4.8 m/s. In thunder leave at once.'
    """
    speeds, signs = list(ON_LADDERS_M_S), [_(" (twigs move)"), _(" (small trees sway)")]
    for number, share in enumerate(WIND_ACTION_FRACTIONS):
        if limit_m_s is not None and share * limit_m_s < speeds[number]:
            speeds[number], signs[number] = math.floor(10.0 * share * limit_m_s + 1e-9) / 10.0, ""
    first, last = (decimal(speed, 1) for speed in speeds)
    return _("Wind: make ready to stop at gusts of {first} m/s{sign}, come down and leave at {last} m/s{last_sign}. In "
             "thunder leave at once.").format(first=first, sign=signs[0], last=last, last_sign=signs[1])
