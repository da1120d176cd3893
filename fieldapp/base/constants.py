"""Numbers from outside, each with unit and source. Materials have a file of their own."""

GRAVITY_M_S2 = 9.80665
"""Standard gravity [m/s²]. ISO 80000-3."""

STANDING_PUSH_N = 110.0
"""Push of a standing person, arms stretched at or above shoulder height [N].
Eastman Kodak, Ergonomic Design for People at Work, vol. 2, 1986."""

BODY_PUSH_N = 225.0
"""Push of a standing person with the whole body [N]. Same source."""
