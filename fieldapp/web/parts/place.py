"""One place, and the places of one ring: the third way in, walking through the frame."""

from flask import Blueprint, abort, render_template, request

from fieldapp.kit.kit import Part
from fieldapp.reports.parts import stock_of
from fieldapp.web.cards.ahead import before_lines
from fieldapp.web.cards.entries import done
from fieldapp.web.cards.feet import foot_now
from fieldapp.web.cards.holding import asking
from fieldapp.web.cards.part_view import Acts, bands, fitting_acts, taking_acts, what_words
from fieldapp.web.cards.place_view import PlaceView, place_view, places_at_level, ring_lines
from fieldapp.web.cards.status import Status, part_status
from fieldapp.web.cards.step_view import step_link
from fieldapp.web.common.context import site, standing, state
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import find_part

bp = Blueprint("place", __name__)

FIT = frozenset({"sound", "watch"})
"""What a part may be that is fetched."""


@bp.get("/place/<name>")
def page(name: str) -> str:
    """What goes to a place, and what it meets there."""
    name = name.upper()
    kit = site().kit
    if name not in kit.frame.hub_index and name not in kit.frame.strut_index:
        abort(404, _("place {name}").format(name=name[:16]))
    view, trouble = place_view(standing(), name), _trouble(name)
    part = chosen_part(name, view.meant)
    if part is not None and not state().is_fitted(name) and stock_of(state(), part.id, site().clock()) not in FIT:
        part = None         # nobody is sent to fetch what may not be used
    return render_template("parts/place.html", view=view, part=part, what=what_words(kit, part) if part else "",
                           letter=part.part_class if part and view.kind == "strut" else "",
                           bands=bands(kit, part) if part else 0, done=done(), here="place",
                           before=before_lines(site().book.site, state(), view), instead=_instead(name),
                           trouble=trouble,
                           offers_other=trouble is not None and state().phase != "striking",
                           sits=state().is_fitted(name), acts=_acts(view, part), feet=foot_now(standing(), name),
                           step=step_link(site().plan, state(), name, asking()))


def _acts(view: PlaceView, part: Part | None) -> Acts | None:
    """What may be written down of the part here; None if nothing may: no part, a place left out, a part kept out."""
    if part is None or view.status.shape == "empty":
        return None
    if state().is_fitted(view.name):
        return taking_acts(view.status, state())
    return fitting_acts(view.status) if state().parts[part.id].usable else None


def _trouble(name: str) -> Status | None:
    """What is wrong with the part that sits here or is meant for it; None if nothing is."""
    held = state().fitted.get(name) or state().allocation.get(name)
    if held is None or state().parts[held].usable:
        return None
    return part_status(standing(), state().part(held), place=name)


def _instead(name: str) -> str | None:
    """The part that goes here once the one that sits here, and is not to be used, is out."""
    sits, meant = state().fitted.get(name), state().allocation.get(name)
    return meant if sits and meant and meant != sits else None


def chosen_part(name: str, meant: str | None) -> Part | None:
    """The part that `?part=` brings to an empty place, as from a spare's page, or else the one meant for the place."""
    brought = request.args.get("part")
    if brought and not state().is_fitted(name):
        return find_part(brought).part
    return state().part(meant) if meant else None


@bp.get("/ring/<int:number>", endpoint="ring")
@bp.get("/RING/<int:number>", endpoint="ring")
def ring(number: int) -> str:
    """The places of a ring in the order of the plan."""
    names = places_at_level(site().plan, number)
    if not names:
        abort(404, _(site().kit.frame.words.numbered).format(n=number))
    lines = ring_lines(standing())
    views = [place_view(standing(), name) for name in names]
    line = next(line for line in lines if line.number == number)
    return render_template("parts/ring.html", line=line, lines=lines, views=views, here="place")
