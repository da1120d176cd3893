"""Forces, winds and uses in words that a newcomer knows."""

import math

from fieldapp.base.constants import GRAVITY_M_S2
from fieldapp.base.said import Number, Said, Value, say
from fieldapp.base.words import marked

SAFETY = marked(
    "The computed limits are a guide for planning and for stopping early, from the numbers and break tests that "
    "you gave. They do not replace a competent person, local rules, the maker's instructions or, where the frame "
    "is open to the public, a licensed engineer.")
"""Said once wherever a limit is shown."""

THINGS_KG = (
    (0.1, say("a bar of chocolate")),
    (0.15, say("an apple")),
    (0.25, say("a full cup")),
    (0.5, say("a full half-litre bottle")),
    (1.0, say("a full 1-litre bottle")),
    (2.0, say("two full 1-litre bottles")),
    (3.0, say("three full 1-litre bottles")),
    (5.0, say("a full 5-litre can")),
    (10.0, say("a full 10-litre bucket")),
    (20.0, say("two full 10-litre buckets")),
)
"""What people have held in their hands [kg]; water counts 1 kg a litre.
Source: common practice, no source. Test: tests/plan/test_stages.py"""


def feels(force_n: float) -> Said:
    """The heaviest familiar thing that weighs no more than a force.

    Examples
    --------
    >>> in_words(feels(9.9))
    'about the weight of a full 1-litre bottle'
    >>> in_words(feels(0.4))
    'less than the weight of a bar of chocolate: do not lean on it at all'
    """
    mass_kg = force_n / GRAVITY_M_S2
    lighter = [thing for thing_kg, thing in THINGS_KG if thing_kg <= mass_kg * (1 + 1e-9)]
    if not lighter:
        return say("less than the weight of {thing}: do not lean on it at all", thing=THINGS_KG[0][1])
    return say("about the weight of {thing}", thing=lighter[-1])


def force(force_n: float) -> Value:
    """A limit in newtons, rounded down so that it never promises too much.

    Examples
    --------
    >>> [in_words(force(n)) for n in (0.37, 9.87, 57.9, 1234.0, math.inf)]
    ['0.3 N', '9.8 N', '57 N', '1230 N', 'any push']
    """
    if math.isinf(force_n):
        return say("any push")
    if force_n < 10.0:
        return Number(math.floor(force_n * 10 + 1e-9) / 10, 1, "N")
    size = 10 ** max(0, int(math.log10(force_n)) - 2)
    return Number(math.floor(force_n / size) * size, 0, "N")


def speed(m_s: float) -> Number:
    """A speed of the wind, rounded down so that it never promises too much.

    Examples
    --------
    >>> [in_words(speed(v)) for v in (2.68, 13.0, 0.04)]
    ['2.6', '13.0', '0.0']
    """
    return Number(math.floor(10.0 * m_s + 1e-9) / 10.0, 1)
