"""Rules of the site and cautions of the work, for booklet and poster. Wording is our own.

Ladder rules follow the HSE's guidance on ladders (from memory); wind fractions a city park authority's event guide,
2020; the release of repaired parts and the rest are common practice, no source.
"""

import math

from fieldapp.base.constants import WIND_ACTION_FRACTIONS


def site_rules(wind_limit_m_s: float | None = None) -> tuple[str, ...]:
    """What everybody on site is told before the first part is lifted.

    Parameters
    ----------
    wind_limit_m_s : float or None
        Lowest gust that a stage of the raise bears; None if it is not computed. [m/s]
    """
    return (
        "Do one step at a time, in the order of the booklet. Ask before you change it.",
        "Never let a strut hang on one arm: hold its free end until it is on. The arm is what breaks.",
        "Whoever holds a hub holds it until the book says let go. Do not leave; call for a relief.",
        "Push straight, with two hands, no harder than the step says. If it cracks or jams, stop and look.",
        "Nobody stands under a part that is being lifted. Nobody climbs or leans on the frame.",
        "Ladders: one person each, somebody at the foot, top two steps of a stepladder empty.",
        wind_rule(wind_limit_m_s),
        "Broken, bent or wet part: mark it, take it out, log it. It comes back only on a named person's release.",
    )


def wind_rule(limit_m_s: float | None) -> str:
    """When to stop for wind; speeds are rounded down.

    Examples
    --------
    >>> wind_rule(11.3)
    'Wind: make ready to stop at gusts of 6.7 m/s, stop and leave at 9.0 m/s. In thunder leave at once.'
    """
    ready, leave = WIND_ACTION_FRACTIONS
    if limit_m_s is None or not math.isfinite(limit_m_s):
        return (f"Wind: agree on a limit before you start. Make ready to stop at {ready:.0%} of it, stop and leave at "
                f"{leave:.0%}. In thunder leave at once.")
    at = [math.floor(10.0 * share * limit_m_s) / 10.0 for share in (ready, leave)]
    return (f"Wind: make ready to stop at gusts of {at[0]:.1f} m/s, stop and leave at {at[1]:.1f} m/s. "
            f"In thunder leave at once.")
