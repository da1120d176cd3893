"""Numbers from outside, each with unit, source and test. Materials have a file of their own.

"Reproduced in" names the public text in which the value was read. `raisebook sources` prints them all.
"""

GRAVITY_M_S2 = 9.80665
"""Standard gravity [m/s²].
Source: ISO 80000-3. Test: tests/reference/test_published_values.py"""

STANDING_PUSH_N = 110.0
"""Push of a standing person, arms stretched at or above shoulder height [N].
Source: Eastman Kodak, Ergonomic Design for People at Work, vol. 2, 1986.
Test: tests/reference/test_published_values.py"""

WHOLE_BODY_PUSH_N = 225.0
"""Push of a standing person with the whole body: nobody is told more than this [N].
Source: Eastman Kodak, Ergonomic Design for People at Work, vol. 2, 1986.
Test: tests/reference/test_published_values.py"""

GRIP_REACH_WOMEN_5TH_MM = 1840.0
"""Upward grip reach of women, 5th percentile, without shoes [mm].
Source: DIN 33402-2:2005. Test: tests/reference/test_published_values.py, tests/plan/test_reach.py"""

SHOES_MM = 25.0
"""Allowance for shoes [mm].
Source: DIN 33402-2:2005. Test: tests/reference/test_published_values.py, tests/plan/test_reach.py"""

LIFT_ABOVE_SHOULDER_CLOSE_KG = {"men": 10.0, "women": 7.0}
"""Lifting filter above shoulder height, close to the body, one person [kg].
Source: HSE L23 and INDG143; the women's row, seven tenths of the men's: our choice.
Test: tests/reference/test_published_values.py, tests/plan/test_reach.py"""

GAMMA_G = 1.35
"""Partial factor of weight where it does harm [1].
Source: EN 1990 Table A1.2(B), reproduced in Steel Buildings in Europe, part 3, Table 3.1.
Test: tests/reference/test_published_values.py, tests/statics/test_limits.py"""

GAMMA_G_HOLDING = 0.90
"""Partial factor of weight where it alone keeps a thing on the ground [1].
Source: EN 1990 Table A1.2(A), reproduced in Steel Buildings in Europe, part 3, Table 3.1.
Test: tests/reference/test_published_values.py, tests/statics/test_limits.py"""

GAMMA_Q = 1.50
"""Partial factor of pushes and wind [1].
Source: EN 1990 Table A1.2(B), reproduced in Steel Buildings in Europe, part 3, Table 3.1.
Test: tests/reference/test_published_values.py, tests/statics/test_limits.py"""

FRACTILE_FACTORS_UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
"""k_n for the 5 % fractile, scatter unknown, by number of tests [1].
Source: EN 1990:2002 Table D.1. Test: tests/reference/test_en_1990_annex_d.py"""

FRACTILE_FACTORS_KNOWN = {1: 2.31, 2: 2.01, 3: 1.89, 4: 1.83, 5: 1.80, 6: 1.77, 8: 1.74, 10: 1.72, 20: 1.68, 30: 1.67}
"""k_n for the 5 % fractile, scatter known, by number of tests [1].
Source: EN 1990:2002 Table D.1. Test: tests/reference/test_en_1990_annex_d.py"""

NORMAL_95 = 1.645
"""5 % fractile of the normal distribution, one side [standard deviations].
Source: EN 1990:2002 Annex D. Test: tests/reference/test_en_1990_annex_d.py"""

WIND_PRESSURE_PA_PER_M2_S2 = 0.625
"""q / v² = ½ρ at ρ = 1.25 kg/m³ [Pa/(m/s)²].
Source: EN 1991-1-4 (4.10). Test: tests/reference/test_en_1991_1_4.py"""

BARE_STRUT_FORCE_COEFFICIENT = 1.2
"""Force on a bare round strut / (projected area × q) [1].
Source: GB 50009-2012 Table 8.3.1 no. 37, long round tube up to q d² = 2 N.
Test: tests/reference/test_published_values.py"""

BEAUFORT_BEGINS_M_S = (0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""Wind speed at which each Beaufort number begins [m/s].
Source: World Meteorological Organization, the scale as reproduced at delta-s.org/weer/beaufort.html.
Test: tests/reference/test_en_1991_1_4.py"""

WIND_ACTION_FRACTIONS = (0.6, 0.8)
"""Act at these parts of the wind limit [1].
Source: Cardiff Council, Bute Park event guide, Wind Management Plan, 22 April 2020 (bute-park.com/event_guide/wind).
Test: tests/reference/test_published_values.py"""

ON_LADDERS_M_S = (BEAUFORT_BEGINS_M_S[4], BEAUFORT_BEGINS_M_S[5])
"""Gusts at which people on ladders make ready, and come down [m/s].
Source: our choice: the means at which Beaufort 4 and 5 begin, taken as gusts. Test: tests/wording/test_site_rules.py"""

ALPHA_CR_FIRST_ORDER = 10.0
"""First-order analysis is enough if buckling takes at least this multiple of the load [1].
Source: EN 1993-1-1 5.2.1 (3). Test: tests/reference/test_published_values.py, tests/statics/test_response.py"""

TERRAIN_ROUGHNESS_M = {"0": 0.003, "I": 0.01, "II": 0.05, "III": 0.3, "IV": 1.0}
"""Roughness length z₀ by terrain category [m].
Source: EN 1991-1-4 Table 4.1. Test: tests/reference/test_en_1991_1_4.py"""

TERRAIN_LEAST_HEIGHT_M = {"0": 1.0, "I": 1.0, "II": 2.0, "III": 5.0, "IV": 10.0}
"""Height z_min below which the wind is taken as at that height [m].
Source: EN 1991-1-4 Table 4.1. Test: tests/reference/test_en_1991_1_4.py"""
