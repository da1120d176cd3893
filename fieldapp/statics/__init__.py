"""Stiffness, mechanisms, loads and capacities of a frame or any part of one.

What other rooms call
---------------------
Once per kit:

    ready = statics_of(frame, design)             analysis: all strut matrices and capacities, once

Any stage, one record (hubs and struts by place name; struts None = all between the hubs):

    stage_analysis(ready, hubs, struts, held=…, pushed=…, limits_at=…) -> StageAnalysis        analysis

Or piece by piece, only what is needed (the record computes everything):

    stage = stage_of(ready.model, hubs, struts, held=…, ground=…)                             stiffness
    answer = solved(stage)                        Solved, or Unstable with .hubs and .words      limits
    weight_use(answer).use                        largest arm use and where                      limits
    push_uses(answer, hubs, push_n)               arm use with a push in its worst direction     limits
    push_limits_n(answer, hubs)                   place -> N                                     limits
    level_tolerance(answer).low_mm                one ground hub sitting low                     limits
    free_end_limits_n(model, [(strut, hub), …])   a strut that one arm holds alone               limits
    wind_limit(answer, ready.tubes)               m/s, Beaufort, 60 % and 80 %                   wind
    tube_use(answer.weight, ready.tubes)          tubes                                          tubes
    weight_buckling_factor(answer)                is first order enough?                         second_order
    stage_mechanisms(stage), holds(stage)         pin-jointed twin, fewest hubs to hold          mechanisms, holds
    lift(model, hubs, lifters), lifts(…)          a piece carried by people                      lift
    response(answer.ready, misfit(stage, …))      what parts that do not fit lock in             response, loads
    arm_test(loads_n, lever_mm)                   break tests, EN 1990 Annex D                   arm_test

Files in reading order: sections, make, beam, member (one strut) · capacity, arm_test (one arm) · model,
banded, stiffness (all struts, any stage) · loads, response, limits, wind, tubes, lift, second_order ·
mechanisms, holds · analysis.

Units inside are mm, N, N/mm², rad. Where partial factors enter: `response`. Submodules are not imported
here, so that importing the package costs nothing.
"""
