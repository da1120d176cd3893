"""The pocket copy: one page of the whole kit that a phone keeps open, or saves, and reads without the laptop."""

import json
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup

from fieldapp.base.words import _, ngettext
from fieldapp.frame.frame import Frame
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.kit import Kit
from fieldapp.plan.plan import Plan
from fieldapp.plan.words import SAFETY
from fieldapp.prints import in_kit_language
from fieldapp.prints.pictures.turning import turning_frame
from fieldapp.prints.pocket.pictures import Pictures
from fieldapp.prints.pocket.places import (
    AsOf,
    id_index,
    place_lists,
    plan_order,
    pocket_places,
    pocket_spares,
)
from fieldapp.prints.pocket.scripts import turning_script, turning_style
from fieldapp.wording.breaking import breaking_line

POCKET_FILE = "pocket.html"
FOLDER = Path(__file__).parent / "page"


@in_kit_language
def write_pocket(kit: Kit, plan: Plan, folder: Path) -> Path:
    """Write the pocket copy into a folder; the same kit and plan give the same bytes.

    Raises
    ------
    KitError
        If the file cannot be written.
    """
    allocation = {place: part.id for place, part in kit.by_place.items()}
    path = folder / POCKET_FILE
    write_atomic(path, pocket_page(kit, plan, allocation, language=kit.design.site.language).encode())
    return path


def pocket_page(kit: Kit, plan: Plan, allocation: Mapping[str, str], *, language: str = "en",
                as_of: AsOf | None = None) -> str:
    """The whole page as HTML, with nothing to fetch.

    Parameters
    ----------
    kit : Kit
    plan : Plan
        Places stand in its order.
    allocation : mapping
        Place → ID of the part that is meant for it.
    language : str
        Code of the language that `base.words` speaks.
    as_of : AsOf, optional
        What the log says now; left out: there is no log yet.
    """
    pictures, old = Pictures(kit.frame, frozenset(plan.left_out)), as_of or AsOf(0, {}, {})
    places = [replace(one, said=old.places.get(one.name, ""),
                      kept_out=old.kept_out.get(allocation.get(one.name, ""), ""))
              for one in pocket_places(kit, plan, pictures, allocation)]
    return _environment().get_template("pocket.html").render(
        language=language, title=_("{name}: pocket copy").format(name=kit.design.frame.name),
        style=inline("pocket.css", "drawings.css") + turning_style(), script=inline("pocket.js"),
        turning=turning_script(FOLDER / "turn_place.js"), numbers=_numbers(kit.frame, plan), places=places,
        sheets=pictures.sheets(), lists=place_lists(kit.frame, plan_order(plan)),
        spares=pocket_spares(kit, plan, allocation, old.kept_out), as_of=as_of,
        safety=_(SAFETY), breaks=breaking_line(plan, kit.design),
        parts=Markup(json.dumps(id_index(kit, allocation), separators=(",", ":"))))


def _numbers(frame: Frame, plan: Plan) -> Markup:
    """The frame for its picture that can be turned, and the order in which the plan fills it."""
    return Markup(json.dumps({**json.loads(turning_frame(frame)), "order": plan_order(plan)}, separators=(",", ":")))


def inline(*names: str) -> Markup:
    """Style sheets or scripts of the page, as they stand in it."""
    return Markup("".join((FOLDER / name).read_text(encoding="utf-8") for name in names))


@lru_cache
def _environment() -> Environment:
    environment = Environment(loader=FileSystemLoader(FOLDER), autoescape=True, trim_blocks=True, lstrip_blocks=True,
                              extensions=["jinja2.ext.i18n"])
    environment.install_gettext_callables(_, ngettext, newstyle=True)  # type: ignore[attr-defined]
    return environment
