"""The step card: opened from the start page, taken in hand, and written down whole at one press."""

from dataclasses import dataclass

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.log.duties import in_hand
from fieldapp.log.entry import Refusal
from fieldapp.plan.plan import Step
from fieldapp.reports.raising.handing import Asker, handed
from fieldapp.reports.verdict import steps_now
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.holding import asking
from fieldapp.web.cards.step_view import step_card, title
from fieldapp.web.common.context import sender, site, standing, team
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.offers import offers
from fieldapp.web.common.writing import gone_back, refused, submit, wish, write_down

bp = Blueprint("step", __name__)
MOST_PLACES = 60


@bp.get("/step/<name>")
def page(name: str) -> str:
    """The card of the step that a place belongs to."""
    step = _step(name)
    card = step_card(standing(), site().book.site, step, asking())
    return render_template("raising/step.html", card=card, done=done(), here="step", next_step=next_step())


@bp.get("/step")
def own() -> Response:
    """The step that this phone has, or is offered."""
    name = next_step()
    return redirect(url_for("step.page", name=name) if name else url_for("start.page"), 303)


@bp.post("/step/<name>")
def write(name: str) -> Response | tuple[str, int]:
    """What is ticked went in, or came out, by one entry; then the next step."""
    step, form = _step(name), request.form
    pairs = [text.partition(" ") for text in form.getlist("in")[:MOST_PLACES]]
    act = "taken_down" if form.get("act") == "taken-down" else "fitted"
    data: dict[str, object] = {
        "places": [place for place, _blank, _part in pairs], "parts": [part for _place, _blank, part in pairs],
        "act": act, "scanned": sorted(asking().scanned & {part for _place, _blank, part in pairs}),
        "sure": form.get("sure") == "yes"}
    back = url_for("step.page", name=step.places[0])
    if not pairs:
        return refused(Refusal(_("Nothing is ticked."), _("Tick what is so, then press again.")), back)
    answer = submit(wish("step_done", place=step.places[0], data=data))
    if isinstance(answer, Refusal):
        return refused(answer, back)
    following = next_step()
    return gone_back(answer, url_for("step.page", name=following) if following else url_for("start.page"))


@bp.post("/step/<name>/<act>")
def duty(name: str, act: str) -> Response | tuple[str, int]:
    """This phone takes the step, or gives it back."""
    if act not in ("take", "leave"):
        abort(404)
    step = _step(name)
    kind = "duty_taken" if act == "take" else "duty_left"
    back = url_for("step.page", name=step.places[0]) if act == "take" else url_for("start.page")
    return write_down(wish(kind, data={"what": "step", "at": step.places[0], "team": team()}), back)


@bp.get("/step/<name>/<act>")
def again(name: str, act: str) -> Response:
    """A phone that reopens the tab of a refusal: back to the card."""
    return redirect(url_for("step.page", name=name), 303)


@bp.post("/hold/<name>/<act>")
def hold(name: str, act: str) -> Response | tuple[str, int]:
    """This phone holds a hub, says so anew, or lets go."""
    if act not in ("take", "leave"):
        abort(404)
    kind = "duty_taken" if act == "take" else "duty_left"
    back = request.form.get("back", "")
    to = url_for("step.page", name=back) if back in site().plan.step_of else url_for("start.page")
    return write_down(wish(kind, data={"what": "hold", "at": name.upper(), "team": team()}), to)


def next_step() -> str | None:
    """First place of the step that this phone should do next, of its team first; None if there is none."""
    who, teams = asking(), site().kit.design.crew.teams
    found = handed(open_steps(), site().book.state, who.now, Asker(who.holder, team(), teams),
                   elsewhere=offers().elsewhere(sender(), who.now), last=offers().last(sender()))
    offers().note(sender(), found, who.now)
    return found


@dataclass(frozen=True, slots=True)
class StepNow:
    """The step to offer on the start page."""

    name: str = ""
    """Empty if all that may go on is in hand."""
    title: str = ""
    in_hand: tuple[str, ...] = ()
    """Steps that others have, with who has them: "H23 (phone 3)"."""


def step_now(phase: str) -> StepNow | None:
    """The step that this phone should do next; None before the raise, once it stands, and where nothing may go on."""
    if phase not in ("up", "down"):
        return None
    name, opened = next_step(), open_steps()
    taken = tuple(f"{duty.at} ({in_words(duty.who)})" for duty in in_hand(site().book.state, asking().now, "step")
                  if duty.at in opened)
    if name:
        return StepNow(name, title(site().plan.step_for(name)), taken)
    return StepNow(in_hand=taken) if taken else None


def open_steps() -> tuple[str, ...]:
    """First places of the steps that may go on now, by the log as it is after what was just written down."""
    plan = site().plan
    if site().book.state.exchanging is not None or site().book.state.stop is not None:
        return ()       # nothing goes on meanwhile
    return tuple(plan.steps[number - 1].places[0] for number in steps_now(site().book.site, site().book.state))


def _step(name: str) -> Step:
    """The step of a place; 404 with words for a place that no step fills."""
    place, plan = name.upper(), site().plan
    if place not in plan.step_of:
        abort(404, _("step {name}").format(name=name[:16]))
    return plan.step_for(place)


