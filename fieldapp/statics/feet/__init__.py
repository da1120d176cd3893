"""Feet that press, slide and lift: what a stage bears on real ground, loose and held.

What other rooms call
---------------------
What it stands on and what holds it, one entry for each foot:

    on = footing(feet, friction=0.4)                          loose feet                              footing
    on = footing(feet, friction=0.4, peg_up_n={"H01": 600}, peg_side_n={"H01": 400})                  footing

For a stage that is solved already (`statics.solved`), reduced once to its feet:

    feet = feet_of(answer, on)                                                                        reduced

At once, careful, for all that is told:

    stands = standing(feet, tubes)                 feet under 1.35 × weight in the most harmful ways  under_weight
    weight_at_once(stands)                         FeetBound, times the design weight                 under_weight
    push_at_once(stands, tubes, pinned)            FeetBound [N]; pushes_at_once for several, (G7)    at_once
    gust_at_once(stands, tubes, pinned)            FeetBound [m/s]; as_wind_limit(bound, pinned)      at_once, gusts
    low_at_once(stands, tubes, pinned)             FeetBound [mm]; spread_at_once: pairs of forces    low
    feet_table(feet)                               press, pull, sideways of every foot under weight   demands

Loads followed step by step on feet that let go, for who hangs or leans (`plan.forgives`) and for the tests:

    first_to_end(starts, tubes, growing, most)     which load case ends first, and by what            ending

A bound says what gives way, which foot, and whether the computation settled; one that did not counts as 0
(`FeetBound.counts`). Files in reading order: footing, records, reduced, contact, starts, strength, march, ending ·
collapse, inscribed, middle · pushes, gusts, pegs_held, under_weight, at_once, low, demands. Equations (G1) to (G10):
README.md.

Units are mm and N. Submodules are not imported here, so that importing the package costs nothing.
"""
