"""Order of erection, stages, holds, ways compared, reach and crew.

What other rooms call
---------------------
    plan = erection_plan(kit)                         the plan that the crew follows                    order
    judged = judged_plan(kit)                         the same with the figures of every stage          order
    case = case_of(kit, {(strut, end): 0.5, …})       statics of a kit, with what is left of its arms   case
    stage = analysis(case, fitted_on(resting_now(…), …))   any set of fitted parts, answers as asked    onsite, stages
    stage.stands, .holds, .weight_utilisation, .push_limits(hubs), .free_end_limits, .wind, .tube   stages
    compare(kit)                                      all ways side by side, the recommended one        compare
    out_of_reach(kit)                                 hubs nobody reaches, with the three ways out      out_of_reach
    top_lifts(case, left_out), fit_up(case, plan)     a top piece lifted; gaps, locked-in utilisation  top_lifts, fitup
    force(n), feels(n), SAFETY                        limits as they are said, and the caution beside  words

Files in reading order: plan (records) · assemble, ways, doorway (orders) · supports, motions (holds) ·
teams, search, reach, pieces, planner (one plan a way) · case, stages, limits, judge, compare, recommend, order ·
onsite, lifting, out_of_reach, misfits, lack_of_fit, fit_limits, fitup · words · symmetry (places that sit alike),
kept (a plan on disk), telling (progress).
"""

from fieldapp.plan.order import erection_plan, judged_plan, level_order
from fieldapp.plan.plan import Insertion, Plan, Step

__all__ = ["Insertion", "Plan", "Step", "erection_plan", "judged_plan", "level_order"]
