"""Another part for a place: nearest first, exchanged at one press."""

from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.numbers import decimal
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.parts.replacements import ToMake, replacements
from fieldapp.web.cards.entries import done
from fieldapp.web.common.context import site, state
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.writing import wish, write_down
from fieldapp.wording.damage import candidate_words, make_words

bp = Blueprint("other", __name__)

MOST_SHOWN = 6


@bp.get("/other/<name>")
def page(name: str) -> str:
    """Which part could go to this place instead?"""
    name = _place(name)
    meant = state().fitted.get(name) or state().allocation.get(name)
    past = state().parts[meant] if meant else None
    return render_template("damage/other.html", instead=instead_of(site().book.site, state(), name, site().clock()),
                           meant=meant, past=past, done=done(), here="place")


@bp.post("/other/<name>")
def exchange(name: str) -> Response | tuple[str, int]:
    """Give the place the part that was chosen; the two places are exchanged."""
    name = _place(name)
    part = find_part(request.form.get("part", "")).part
    back = "exchange.page" if state().exchanging or _to_be_exchanged(name) else "place.page"
    return write_down(wish("exchanged", part.id, name), url_for(back, name=name))


def _to_be_exchanged(name: str) -> bool:
    """True if what sits there may not stay: the next thing is how it comes out."""
    sitting = state().fitted.get(name)
    return sitting is not None and not state().parts[sitting].usable and state().phase != "striking"


def _place(name: str) -> str:
    name = name.upper()
    if name not in site().kit.by_place:
        abort(404, _("place {name}").format(name=name[:16]))
    return name


@dataclass(frozen=True, slots=True)
class Choice:
    """One part that fits."""

    part: str
    words: str


@dataclass(frozen=True, slots=True)
class Instead:
    """What could go to a place."""

    place: str
    kind: str
    part_class: str
    choices: tuple[Choice, ...]
    not_shown: int
    make: tuple[str, ...]
    """What to make if there is no choice."""
    arms: tuple[tuple[int, str, str], ...]
    """Of a hub to make: (arm, azimuth, dip) in words."""


def instead_of(site: Setting, state: State, place: str, now: datetime) -> Instead:
    """Parts that fit `place`, nearest first, and what to make."""
    found = replacements(site, state, place, now=now)
    shown = found.candidates[:MOST_SHOWN]
    return Instead(place, found.make.kind, found.make.part_class,
                   tuple(Choice(one.part, candidate_words(place, one)) for one in shown),
                   len(found.candidates) - len(shown), _make_words(found.make),
                   tuple((number, decimal(azimuth, 1, "°"), decimal(dip, 1, "°"))
                         for number, azimuth, dip in found.make.arms))


def _make_words(make: ToMake) -> tuple[str, ...]:
    """A hub's arms are a table of their own on the page."""
    return (_("Make a hub of class {name}, with these arms:").format(name=make.part_class),) if make.arms \
        else make_words(make)
