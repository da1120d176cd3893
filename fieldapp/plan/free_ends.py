"""How hard the free ends of struts may be pushed while a step goes in: by what they hang on before its hub is in."""

from collections.abc import Mapping
from dataclasses import replace

from fieldapp.plan.bounds import bounded
from fieldapp.plan.plan import Step
from fieldapp.plan.stages import StageAnalysis
from fieldapp.statics.governs import Limit
from fieldapp.statics.limits import free_end_limits


def free_ends_of(stage: StageAnalysis, step: Step) -> Mapping[str, Limit]:
    """Largest push at the free end of each strut that hangs on one arm for a while as a step goes in. [N]

    Parameters
    ----------
    stage : StageAnalysis
        After the step.
    step : Step
        Its last one.
    """
    held = [(item.strut, item.hub) for item in step.struts if step.joins or not item.closes]
    own = free_end_limits(stage.case.model, stage.case.tubes, held)
    if not held:
        return {}
    before = _before(stage, step)
    return bounded(own.values(), before.loaded, before.through_hubs(held, own))


def _before(stage: StageAnalysis, step: Step) -> StageAnalysis:
    """What the struts of the last step hang on: without its hub, unless that was in a piece already."""
    fitted = stage.fitted
    hubs = tuple(hub for hub in fitted.hubs if step.joins or hub != step.hub)
    late = {item.strut for item in step.struts if step.joins or item.closes}
    return StageAnalysis(stage.case, replace(
        fitted, hubs=hubs, struts=tuple(strut for strut in fitted.struts if strut not in late),
        stands_on=tuple(hub for hub in fitted.stands_on if hub in hubs),
        held=tuple(hub for hub in fitted.held if hub in hubs)))
