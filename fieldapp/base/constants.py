"""Numbers from outside, each with unit and source. Materials have a file of their own."""

GRAVITY_M_S2 = 9.80665
"""Standard gravity [m/s²]. ISO 80000-3."""

STANDING_PUSH_N = 110.0
"""Push of a standing person, arms stretched at or above shoulder height [N].
Eastman Kodak, Ergonomic Design for People at Work, vol. 2, 1986."""

BODY_PUSH_N = 225.0
"""Push of a standing person with the whole body [N]. Same source."""

GRIP_REACH_WOMEN_5TH_MM = 1840.0
GRIP_REACH_MEN_5TH_MM = 1975.0
"""Upward grip reach, 5th percentile, without shoes [mm]. DIN 33402-2:2005."""

SHOES_MM = 25.0
"""Allowance for shoes [mm]. DIN 33402-2:2005."""

LIFT_ABOVE_SHOULDER_CLOSE_KG = {"men": 10.0, "women": 7.0}
LIFT_ABOVE_SHOULDER_ARMS_LENGTH_KG = {"men": 5.0, "women": 3.0}
"""Lifting filter above shoulder height, one person [kg]. HSE L23 and INDG143; the women's row from memory."""
