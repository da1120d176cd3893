"""A lift and its lowering, each a page of its own: mass, people, props, the call, what ends it."""

from flask import Blueprint, abort, render_template

from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.plan.hand_lifts import HandLift, hand_lifts
from fieldapp.reports.raising.lifts import lift_lag, next_lift
from fieldapp.reports.verdict import verdict_of
from fieldapp.web.common.context import site, state
from fieldapp.web.common.i18n import _
from fieldapp.wording.ahead import lift_words
from fieldapp.wording.lifts import Direction, against, lift_page_lines, lift_title
from fieldapp.wording.verdict import verdict_word

bp = Blueprint("lifts", __name__)


@bp.get("/lift/<int:step>/up", defaults={"way": "up"})
@bp.get("/lift/<int:step>/down", defaults={"way": "down"})
def page(step: int, way: Direction) -> str:
    """The lift with which a step begins, or the lowering with which it ends at the strike."""
    here = site()
    lift = next((one for one in hand_lifts(here.kit, here.plan) if one.step == step), None)
    if lift is None:
        abort(404, _("step {number}").format(number=step))
    now = _as_it_stands(here.book.site, state(), lift) if way == "up" else ()
    lag = lift_lag(here.kit, here.plan, step)
    return render_template("raising/lift.html", lift=lift, plan=here.plan, up=way == "up", now=now, here="start",
                           title=lift_title(lift, way),
                           lines=lift_page_lines(lift, way, lag), against=against(lift, here.kit.design.crew, lag))


def _as_it_stands(site: Setting, now: State, lift: HandLift) -> tuple[str, ...]:
    """How evenly, and what speaks against it, where it is the next one; nothing of one that is far off."""
    order = next_lift(site, now)
    if order is None or order.step != lift.step:
        return ()
    found = verdict_of(site, now, order.step)
    if order.steps_until == 0 and not (order.breaks or found.may):
        return (f"{verdict_word(found, site.kit.design.ground).rstrip('.')}.",)
    return lift_words(order)[:-1]
