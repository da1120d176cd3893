"""The pictures of a page as inline SVG, drawn once for each state of the log and kept."""

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Literal

from flask import request
from markupsafe import Markup, escape

from fieldapp.base.remembered import remembered
from fieldapp.base.words import spoken
from fieldapp.frame.frame import Frame
from fieldapp.kit.numbering import short_name
from fieldapp.log.state import State
from fieldapp.plan.hand_lifts import HandLift
from fieldapp.plan.plan import Plan
from fieldapp.prints.pictures import (
    Showing,
    dial_spots,
    end_spots,
    frame_view,
    hub_dial,
    lift_view,
    near_showing,
    near_view,
    plan_view,
)
from fieldapp.reports.verdict import Sign
from fieldapp.web.common.i18n import _
from labels.svg import svg

KEPT = 128
"""Pictures of a kind kept in memory, each 5 to 30 KB with what it shows: every entry makes new ones, and only the
newest are asked for."""

TAP_MM = 7.5
"""Radius of what a finger hits in a dial of 100 mm: 48 pixels across where it fills a phone of 360."""
END_TAP_MM = 6.2
"""The same at a strut's end, which lies between the arm's number and the edge of the dial."""

DrawnSign = Sign | Literal["wind"]

_SIGNS: dict[DrawnSign, str] = {
    "fitted": '<rect x="2" y="2" width="20" height="20" fill="currentColor"/><path d="M6.5 12.5l4 4 7-9" class="cut"/>',
    "now": '<path d="M4 3l17 9-17 9z" fill="currentColor"/>',
    "unknown": '<path d="M7 8a5 5 0 1 1 7 4.6c-1.5.7-2 1.6-2 3.4M12 20.5v.6"/>',
    "waits": '<path d="M5 2.5h14M5 21.5h14M6.5 3c0 6 11 12 11 18M17.5 3c0 6-11 12-11 18"/>',
    "empty": '<circle cx="12" cy="12" r="9.5" stroke-dasharray="4 4"/>',
    "stop": '<path d="M8 2h8l6 6v8l-6 6H8l-6-6V8z" fill="currentColor"/><path d="M8 8l8 8M16 8l-8 8" class="cut"/>',
    "wind": '<path d="M2 8h12a3 3 0 1 0-3-3M2 13h17a3 3 0 1 1-3 3M2 18h8a2.5 2.5 0 1 1-2.5 2.5"/>',
    "spare": '<path d="M12 2l10 10-10 10L2 12z"/>',
}
"""The sign of each state, in a field of 24 by 24."""
_PEN = 'stroke-width="2.6" stroke-linejoin="round" stroke-linecap="round"'


def sign(shape: DrawnSign) -> Markup:
    """The small sign of a state, which stands beside its word."""
    return Markup(f'<svg viewBox="0 0 24 24" aria-hidden="true" fill="none" stroke="currentColor" {_PEN}>'
                  f"{_SIGNS[shape]}</svg>")


class Drawer:
    """Draws one frame. Pictures depend on what stands, on the place in question and on the language."""

    def __init__(self, frame: Frame) -> None:
        self.frame = frame
        self._view = remembered(KEPT, by=_values)(self._draw_view)
        self._plan = remembered(KEPT, by=_values)(self._draw_plan)
        self._near = remembered(KEPT, by=_values)(self._draw_near)
        self._dial = remembered(KEPT, by=_values)(self._draw_dial)

    def view(self, state: State, this: str | None = None, new: frozenset[str] = frozenset(), *,
             facing: str | None = None, hold: Iterable[str] = ()) -> Markup:
        """The frame with `this` (or the place `facing`) toward the viewer; `new` go in now, `hold` are held."""
        return self._view(replace(_showing(state, this, new), hold=frozenset(hold)), facing, spoken())

    def lift(self, plan: Plan, lift: HandLift, *, up: bool) -> Markup:
        """A piece before it is lifted, or lowered, as planned."""
        return Markup(svg(lift_view(self.frame, plan, lift, up=up)))

    def near(self, state: State, this: str, new: frozenset[str] | None, named: tuple[str, ...]) -> Markup:
        """The place and what it meets, large, with the neighbours `named`; `new` go in with it."""
        return self._near(near_showing(self.frame, _showing(state, this, new or frozenset()), named), spoken())

    def plan(self, state: State, this: str | None = None, new: frozenset[str] = frozenset()) -> Markup:
        """The frame from above with the front mark."""
        return self._plan(_showing(state, this, new), spoken())

    def dial(self, state: State, hub: str, arm: int | None = None, *, labels: bool = True) -> Markup:
        """One hub from outside, with `arm` filled; with the struts of the place at its arms, or numbers only."""
        place = self.frame.hub(hub)
        near = frozenset(name for name in (hub, *(a.strut for a in place.arms)) if state.is_fitted(name))
        return self._dial(hub, arm, near if labels else frozenset(), spoken(), labels=labels)

    def tapped(self, state: State, hub: str, arm: int | None = None, *, strut: str = "") -> Markup:
        """The same dial: each arm a link to what happened to it, where the hub was marked for this place, and the end
        of each strut that sits, and of `strut` (a part), which is at `arm` or meant for it."""
        links = "".join((*_arm_links(self.frame, state, hub), *_end_links(self.frame, state, hub, {arm: strut})))
        drawn = str(self.dial(state, hub, arm))
        if not links:
            return Markup(drawn)
        return Markup(drawn.replace('role="img"', 'role="group"', 1).removesuffix("</svg>") + links + "</svg>")

    def choosing(self, state: State, hub: str, part: str, *, labels: bool) -> Markup:
        """The dial of the place that `part` was marked for: each arm a link that chooses it."""
        links = "".join(_arms_of(self.frame, hub, part))
        drawn = str(self.dial(state, hub, labels=labels))
        return Markup(drawn.replace('role="img"', 'role="group"', 1).removesuffix("</svg>") + links + "</svg>")

    def _draw_view(self, showing: Showing, facing: str | None, _language: object) -> Markup:
        return Markup(svg(frame_view(self.frame, showing, facing=facing)))

    def _draw_near(self, showing: Showing, _language: object) -> Markup:
        return Markup(svg(near_view(self.frame, showing)))

    def _draw_plan(self, showing: Showing, _language: object) -> Markup:
        return Markup(svg(plan_view(self.frame, showing)))

    def _draw_dial(self, hub: str, arm: int | None, standing: frozenset[str], _language: object, *,
                   labels: bool) -> Markup:
        return Markup(svg(hub_dial(self.frame, hub, arm=arm, standing=standing, labels=labels)))


def _arm_links(frame: Frame, state: State, hub: str) -> Iterator[str]:
    """The arms of the hub that sits there, by the numbers that it was marked with; none of one from elsewhere."""
    part = state.fitted.get(hub)
    if part is not None and state.part(part).made_for == hub:
        yield from _arms_of(frame, hub, part)


def _arms_of(frame: Frame, hub: str, part: str) -> Iterator[str]:
    """Those of a part that was marked for this place."""
    for number, at in dial_spots(frame, hub).items():
        yield _link(part, number, at, TAP_MM, words=_("Arm {n} of {hub}: what happened?").format(n=number, hub=hub))


def _end_links(frame: Frame, state: State, hub: str, held: Mapping[int | None, str]) -> Iterator[str]:
    """The ends of the struts at a hub: of those in hand by arm, and of those that sit."""
    spots = end_spots(frame, hub)
    for arm in frame.hub(hub).arms:
        if part := held.get(arm.number) or state.fitted.get(arm.strut, ""):
            name = short_name(part, state.kit.design.frame.prefix)
            words = _("End {n} of {strut}: what happened?").format(n=arm.end, strut=name)
            yield _link(part, arm.end, spots[arm.number], END_TAP_MM, words=words)


def _link(part: str, number: int, at: tuple[float, float], radius_mm: float, *, words: str) -> str:
    """One arm or end under a finger."""
    return (f'<a href="{request.script_root}/damage/{part}?where={number}" aria-label="{escape(words)}">'
            f'<circle class="tap" cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{radius_mm}" pointer-events="all"/></a>')


def _values(*args: Hashable, **names: Hashable) -> Hashable:
    """All that is asked, compared by value."""
    return args, tuple(names.items())


def _showing(state: State, this: str | None, new: frozenset[str]) -> Showing:
    damaged = frozenset(place for place, part in state.fitted.items() if not state.parts[part].usable)
    return Showing(standing=frozenset(state.fitted), this=this, new=new, damaged=damaged)
