"""What the start page of the strike says of the step that comes out next: as its card and paper say it."""

from fieldapp.log.rules import Setting
from fieldapp.reports.standing.strike import NextOut
from fieldapp.reports.verdict import verdict_of
from fieldapp.web.common.context import SiteMoment
from fieldapp.web.common.i18n import _
from fieldapp.wording.standing import one_hold
from fieldapp.wording.strike import strike_lines
from fieldapp.wording.verdict import hands_lines, verdict_detail, verdict_word


def out_lines(at: SiteMoment, site: Setting, out: NextOut) -> tuple[str, ...]:
    """What is held first, what is in hand, what is lowered, the order."""
    if out.step is None:
        found = verdict_of(site, at.state, out.places[0])
        own = hands_lines(found) if found.may else (verdict_word(found, at.kit.design.ground),)
    else:
        found = verdict_of(site, at.state, out.step)
        own = strike_lines(at.kit, at.plan, at.plan.steps[out.step - 1], found)
    detail = () if found.may else tuple(filter(None, (verdict_detail(found, at.kit.design.ground),)))
    order = (_("Take out, in this order: {places}.").format(places=", ".join(out.places)),) if found.may else ()
    return (*own, *detail, *map(one_hold, found.hands.before if found.may and out.step else ()), *order)
