"""What every template may use: the moment in a few answers, the bar, short names, lists cut to a screen."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from flask import Flask, current_app, request
from markupsafe import Markup

from fieldapp.kit.numbering import id_pieces, short_name
from fieldapp.log.codes import carried
from fieldapp.web.common.addresses import HTTPS_OPEN, LOOPBACK_NAMES, host_name
from fieldapp.web.common.context import site, state, who
from fieldapp.web.common.i18n import _
from fieldapp.web.common.known_ids import known_ids
from fieldapp.web.common.rights import may_write
from fieldapp.wording.facing import facing

NEIGHBOURS = "raisebook neighbours"
"""Extension: for the letters of a kit and what was scanned or typed, title of each kit on this laptop whose IDs begin
so, and the address where it looks that up."""
Neighbours = Callable[[str, str], tuple[tuple[str, str], ...]]


@dataclass(frozen=True, slots=True)
class PageMoment:
    """What many pages ask of the moment."""

    in_stores: bool
    going_up: bool
    striking: bool
    between_raises: bool
    """True if the kit is in the stores and nothing stands: time to inspect."""
    may_inspect: bool
    """True if a round is open, the kit is in the stores, and this phone may write."""
    live_works: bool
    """True if this phone may send pictures, and its browser may get the camera: by HTTPS, or on the laptop itself."""
    offers_live: bool
    """True if it may, and another page than that of the camera is shown."""


def moment() -> PageMoment:
    """The answers for this request."""
    now = state()
    live = may_write() and (bool(current_app.config.get(HTTPS_OPEN)) or request.is_secure
                            or host_name(request.host) in LOOPBACK_NAMES)
    stores = now.phase == "stores"
    return PageMoment(
        in_stores=stores, going_up=now.phase == "raising", striking=now.phase == "striking",
        between_raises=stores and not now.fitted, may_inspect=stores and now.open_round is not None and may_write(),
        live_works=live, offers_live=live and request.endpoint != "live.page")


@dataclass(frozen=True, slots=True)
class Tab:
    """One page of the bar."""

    endpoint: str
    words: str
    current: bool


def tabs(here: str) -> tuple[Tab, ...]:
    """The pages of the bar, the start page first; `here` is the room of the page that is shown."""
    kit_name = site().kit.design.frame.name
    names = [("start", kit_name), ("find", _("Find")), ("log", _("Log")), ("me", who() or _("Who?"))]
    if may_write() and (state().fitted or state().running_raise) and state().stop is None:
        names.append(("stop", _("Stop")))
    return tuple(Tab(f"{name}.page", words, name == here) for name, words in names)


@dataclass(frozen=True, slots=True)
class Shown:
    """A list as far as a screen shows it."""

    items: tuple[str, ...]
    more: int = 0
    """How many are not shown."""

    @property
    def count(self) -> int:
        """How many there are in all."""
        return len(self.items) + self.more


def shown(items: Sequence[str], most: int) -> Shown:
    """The first `most` of a list.

    Examples
    --------
    >>> shown(("a", "b", "c"), 2)
    Shown(items=('a', 'b'), more=1)
    """
    return Shown(tuple(items[:most]), max(0, len(items) - most))


def kits_with(letters: str, text: str) -> tuple[tuple[str, str], ...]:
    """Title of the other kits on this laptop whose IDs begin so, and where they look up `text`."""
    asked: Neighbours | None = current_app.extensions.get(NEIGHBOURS)
    return asked(letters, text) if asked is not None and letters else ()


def all_kits() -> str:
    """Address of the page of all kits; empty where this laptop serves one alone."""
    return f"{request.script_root.rpartition('/')[0]}/" if NEIGHBOURS in current_app.extensions else ""


def spares_page() -> str:
    """Address of the page that asks the other kits for parts of this one; empty where it is served alone."""
    return f"{all_kits()}spares/{request.script_root.rpartition('/')[2]}" if all_kits() else ""


def whole(part_id: str) -> Markup:
    """An ID that is not broken at the end of a line, with what the part carries."""
    marks = marks_of(part_id)
    words = Markup('<span class="whole">{}</span>').format(part_id)
    return words + Markup(" ({})").format(marks) if marks else words


def marks_of(part_id: str) -> str:
    """Old mark, paint and codes of a part of this kit; empty if it carries none."""
    return carried(state(), part_id) if part_id in state().parts else ""


def toward_you(place: str) -> str:
    """Under the picture of the frame turned toward the reader."""
    return _(facing(site().kit.frame).toward).format(place=place)


def part_choice(url: str) -> tuple[str, str]:
    """A page, and what it is about, as the end of its address names it.

    Examples
    --------
    >>> part_choice("/inspect/P/OH-S073-C.1?seen=scanned")
    ('/inspect/P/OH-S073-C.1?seen=scanned', 'OH-S073-C.1')
    """
    return url, url.rsplit("/", 1)[-1].partition("?")[0]


def is_hub_place(name: str) -> bool:
    """True for the name of a hub's place, which starts with H.

    Examples
    --------
    >>> is_hub_place("H22"), is_hub_place("S073")
    (True, False)
    """
    return name.startswith("H")


def install(app: Flask) -> None:
    """Give them to the templates of `app`."""
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters.update(whole=whole, short=_short)
    app.jinja_env.tests["hub_place"] = is_hub_place
    app.jinja_env.globals.update(id_pieces=id_pieces, tabs=tabs, marks_of=marks_of, toward_you=toward_you)

    @app.context_processor
    def _now() -> dict[str, object]:
        return {"moment": moment(), "known_ids": _known_ids, "all_kits": all_kits(), "spares_page": spares_page()}


def _short(part_id: str) -> str:
    """A part as people of this kit call it."""
    return short_name(part_id, site().kit.design.frame.prefix)


def _known_ids() -> str:
    """The IDs that can exist by now."""
    codes = any(past.codes or past.borrowed for past in state().parts.values())
    return known_ids(site().kit, state().made.values(), codes=codes)
