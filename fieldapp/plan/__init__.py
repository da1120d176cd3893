"""Order of erection, stages, holds, ways compared, reach and crew."""

from fieldapp.plan.order import erection_plan, ring_order
from fieldapp.plan.plan import Insertion, Plan, Step

__all__ = ["Insertion", "Plan", "Step", "erection_plan", "ring_order"]
