"""Feet that press, slide and lift: what a stage bears on real ground, loose and held.

What other rooms call
---------------------
What it stands on and what holds it, one entry for each foot:

    on = footing(feet, friction=0.4)                          loose feet                              footing
    on = footing(feet, friction=0.4, peg_up_n={"H01": 600}, peg_side_n={"H01": 400})                  footing
    on.loose                                                  the same without pegs and ballast       footing

For a stage that is solved already (`statics.solved`), reduced once to its feet:

    feet = feet_of(answer, on)                                                                        reduced
    feet_under_weight(feet)                        press, pull and sideways of every foot             demands
    feet_push_limits(feet, tubes, hubs)            place -> FeetBound [N]                             pushes
    feet_wind(feet, tubes, terrain=…)              FeetWind: loose and held                           wind
    feet_low_limit(feet, tubes)                    FeetBound [mm]                                     low
    feet_table([(name, feet), …])                  a FootDemand for every foot and stage              demands

A bound says what gives way, which foot, and whether the computation settled; one that did not counts as 0
(`FeetBound.counts`). That a foot lifts is told; it is no limit by itself.

Units are mm and N. Submodules are not imported here, so that importing the package costs nothing.
"""
