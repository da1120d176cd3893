"""What the whole frame forgives: may somebody hang from it, a ladder lean, a strut or hub be lost."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from flask import Blueprint, Response, abort, render_template
from markupsafe import Markup

from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.web.common.context import patience_s, site, state
from fieldapp.web.common.pieces import growing
from labels.svg import svg

if TYPE_CHECKING:
    from fieldapp.plan.forgives.record import Forgives

bp = Blueprint("forgives", __name__)


def forgives_now(wait_s: float) -> "Forgives | None":
    """What is known so far of the kit of this request; None while not even the first of it is.

    Raises
    ------
    RaisebookError
        If the statics have no answer.
    """
    kit, plan = site().kit, site().plan
    return growing("forgives", (kit.design, plan.way), lambda: _steps(kit, plan), patience_s=wait_s)


def _steps(kit: Kit, plan: Plan) -> "Iterator[Forgives]":
    from fieldapp.plan.case import case_of  # these bring in scipy, which `serve` starts without
    from fieldapp.plan.forgives import what_it_forgives

    yield from what_it_forgives(case_of(kit), plan)


@bp.get("/forgives")
def page() -> str:
    """The answers, those that are known; the rest is being worked out."""
    from fieldapp.wording.forgives import CARE, forgives_answers  # as above

    found = forgives_now(patience_s())
    return render_template(
        "raising/forgives.html", here="start", soon=found is None or found.to_do > 0, care=CARE,
        answers=forgives_answers(found) if found else (), picture=_picture(site().kit, site().plan, found),
        whole=found is not None and not found.to_do, damaged=_damaged())


@bp.get("/forgives.pdf")
def sheet() -> Response:
    """The same on paper."""
    found = forgives_now(patience_s())
    if found is None or found.to_do:
        abort(404)
    from fieldapp.prints.forgives import forgives_pdf  # brings in the PDF library, which pages do without

    prefix = site().kit.design.frame.prefix
    return Response(forgives_pdf(site().kit, site().plan, found), mimetype="application/pdf",
                    headers={"Content-Disposition": f'inline; filename="{prefix}-forgives.pdf"'})


def _damaged() -> bool:
    """Whether something in the frame is not sound: the answers hold for sound parts."""
    return any(not state().parts[part].usable for part in state().fitted.values())


def _picture(kit: Kit, plan: Plan, found: "Forgives | None") -> Markup | None:
    """Solid where one person may hang; none where nobody may."""
    from fieldapp.plan.forgives.record import PERSON_N, that_bear  # as above

    good = frozenset(that_bear(found.hang, PERSON_N)) if found and found.whole.stands else frozenset()
    if not good:
        return None
    return Markup(svg(frame_view(kit.frame, Showing(standing=good, left_out=frozenset(plan.left_out)))))
