"""What tolerances mean for those who raise: what is locked into arms, which gap is usual where a ring closes."""

import math
from collections.abc import Iterator

from fieldapp.base.numbers import percent, shortest
from fieldapp.base.said import in_words
from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.plan.fitup import FitUp
from fieldapp.statics.untested import untested_said
from fieldapp.wording.raising import Run


def fit_rules(fit: FitUp | None) -> tuple[str, ...]:
    """What the tolerances lock in, for the page that everybody reads; nothing if it is not computed."""
    if fit is None:
        return ()
    words = _("Fit: with lengths within ± {mm} mm and arms within ± {deg}°, one frame in twenty has more than {share} "
              "of the strength of its worst arm locked in. Limits here are lower for it. Never force a strut: look for "
              "the wrong part first.")
    return (words.format(mm=shortest(fit.length_error_mm), deg=shortest(fit.angle_error_deg),
                         share=percent(_up(fit.locked_utilisation))),)


def joint_rules(design: Design) -> tuple[str, ...]:
    """That nobody knows what joints hold, where the design has no pull test of them."""
    if all(design.joints_tested):
        return ()
    return (_("Joints: nobody tested what pulls them apart, so no limit here knows of it. Pin or bolt every strut."),)


def strength_rules(design: Design) -> tuple[str, ...]:
    """That nobody knows what the parts bear, where nobody has tested them, and what to do about it."""
    said = untested_said(design)
    if said is None:
        return ()
    return (_("Strength: {said}. So no limit is known: nothing is promised of any push, load or wind. A competent "
              "person decides whether and how it is raised. Break three or more parts, the ones that look worst, and "
              "write the loads into the design; then limits are known.").format(said=in_words(said)),)


def _up(share: float) -> float:
    """Rounded up to a whole per cent."""
    return math.ceil(100.0 * share - 1e-9) / 100.0


def gap_question(fit: FitUp | None, run: Run, frame: Frame) -> Iterator[str]:
    """Which gap is usual at the strut that closed a ring; on the ground hubs are shifted, and no gap means anything."""
    closing = {item.strut for item in run.steps[-1].struts if item.closes}
    for gap in fit.gaps if fit else ():
        if gap.strut in closing and not frame.hub(run.steps[-1].hub).on_ground:
            yield _("{strut} closed it with a gap of at most {mm} mm; more: a strut may sit at the wrong place").format(
                strut=gap.strut, mm=math.ceil(gap.within_mm))
