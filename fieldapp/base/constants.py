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

GAMMA_G = 1.35
"""Partial factor of weight where it does harm. EN 1990 Annex A1 (from memory)."""

GAMMA_G_HOLDING = 0.90
"""Partial factor of weight where it alone keeps a thing on the ground. EN 1990 Annex A1, set A (from memory)."""

GAMMA_Q = 1.50
"""Partial factor of pushes and wind. EN 1990 Annex A1 (from memory)."""

FRACTILE_FACTORS_UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
"""k_n for the 5 % fractile, scatter unknown, by number of tests. EN 1990:2002 Table D.1."""

FRACTILE_FACTORS_KNOWN = {1: 2.31, 2: 2.01, 3: 1.89, 4: 1.83, 5: 1.80, 6: 1.77, 8: 1.74, 10: 1.72, 20: 1.68, 30: 1.67}
"""k_n for the 5 % fractile, scatter known. EN 1990:2002 Table D.1."""

NORMAL_95 = 1.645
"""5 % fractile of the normal distribution. EN 1990:2002 Annex D."""

WIND_PRESSURE_PA_PER_M2_S2 = 0.625
"""q / v² = ½ρ at ρ = 1.25 kg/m³ [Pa/(m/s)²]. EN 1991-1-4 (4.10)."""

BARE_STRUT_FORCE_COEFFICIENT = 1.2
"""Force on a bare round strut / (projected area × q). EN 1991-1-4, sub-critical cylinder (from memory)."""

BEAUFORT_BEGINS_M_S = (0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""Wind speed at which each Beaufort number begins [m/s]. World Meteorological Organization; 4 to 7 read, rest from
memory."""

WIND_ACTION_FRACTIONS = (0.6, 0.8)
"""Act at these parts of the wind limit. City park authority event guide, 2020."""

ALPHA_CR_FIRST_ORDER = 10.0
"""First-order analysis is enough if buckling takes at least this multiple of the load. EN 1993-1-1 5.2.1 (3)."""

TERRAIN_ROUGHNESS_M = {"0": 0.003, "I": 0.01, "II": 0.05, "III": 0.3, "IV": 1.0}
"""Roughness length z₀ by terrain category [m]. EN 1991-1-4 Table 4.1."""

TERRAIN_LEAST_HEIGHT_M = {"0": 1.0, "I": 1.0, "II": 2.0, "III": 5.0, "IV": 10.0}
"""Height z_min below which the wind is taken as at that height [m]. EN 1991-1-4 Table 4.1."""
