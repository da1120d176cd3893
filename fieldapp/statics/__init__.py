"""Stiffness, mechanisms, loads and capacities of a frame or any part of one.

What other rooms call
---------------------
Once per kit:

    ready = model(frame, design)                  all strut matrices and arm resistances         model
    tubes = tube_capacity(ready, design)                                                         tubes

For any stage (hubs and struts by place name; struts None = all between the hubs):

    stage = stage_of(ready, hubs, struts, held=…, ground=…)                                   stiffness
    answer = solved(stage, load)                  Solved, or Unstable with .hubs and .said       solved
                                                  (load: default own weight; second order where needed)
    settled(stage_factored, load)                 any load cases, each with its own axial forces           second_order
    answer.buckling_factor, .design_use, .max_displacement_mm                                    solved
    weight_utilisation(answer).utilisation        the largest of an arm, and where               limits
    push_utilisations(answer, hubs, push_n)       with a push in its worst direction             limits
    push_limits(answer, hubs)                     place -> Limit [N]                             limits
    lag_limit(answer, numbers).value              one ground hub or carrier sitting low [mm]     limits
    load_limit(answer, load, tubes, kind=…, most=…)  largest factor of any load case                load_limit
    free_end_limits(ready, [(strut, hub), …])     a strut that one arm holds alone               limits
    wind_limit(answer, tubes, terrain=…)          gust, forecast wind, Beaufort, 60 % and 80 %   wind
    tube_utilisation(answer.weight, tubes)        tubes                                          tubes
    lift(ready, tubes, hubs, lifters), …         a piece carried by people                      lift
    response(answer.ready, misfit(stage, …))      what parts that do not fit lock in             response, loads
    arm_test(loads_n, lever_mm)                   break tests, EN 1990 Annex D                   break_tests

Files in reading order: sections, make, beam, member (one strut) · break_tests, capacity (one arm) · model, stage,
axial, banded, instability, stiffness (all struts, any stage) · loads, response, second_order, buckling, solved ·
governing, growth, growth_search, pushes, limits, tubes, load_limit, wind, lift.

Units inside are mm, N, N/mm², rad. Where partial factors enter: `response`. Submodules are not imported
here, so that importing the package costs nothing.
"""
