"""Upkeep over all kits: what to make this winter, what is due, how parts last; and the same as a table."""

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, Response, render_template

from fieldapp.reports.upkeep.winter import Upkeep, upkeep
from fieldapp.web.common.beside import beside
from fieldapp.web.common.context import clock_now
from fieldapp.web.common.i18n import in_words
from fieldapp.web.yard import pooling
from fieldapp.web.yard.kits import yard
from fieldapp.wording.upkeep import (
    chance_said,
    due_said,
    lasting_said,
    make_said,
    members_said,
    rate_said,
    upkeep_csv,
    used_said,
)

bp = Blueprint("upkeep", __name__)
PATIENCE_S = 1.0
"""How long the page waits before it says that it is being worked out."""
TABLE_PATIENCE_S = 30.0


@dataclass(frozen=True, slots=True)
class KeptKit:
    """One kit as it is shown."""

    name: str
    called: str
    away: bool
    likely: bool
    """Nothing is to be made for it."""
    chance: str
    make: tuple[str, ...]
    due: tuple[str, ...]
    used: str


@dataclass(frozen=True, slots=True)
class KeptClass:
    """One make of parts."""

    members: str
    rate: str
    lasting: str


@bp.get("/upkeep")
def page() -> str:
    """For whoever makes and mends between seasons."""
    found, kits = _found(PATIENCE_S), {kit.name: kit.book.site.kit for kit in yard().kits}
    lines = () if found is None else tuple(KeptKit(
        kit.name, kit.called, kit.away, not any(row.make for row in kit.rows), in_words(chance_said(kit)),
        tuple(in_words(make_said(kits[kit.name], row)) for row in kit.rows if row.make),
        tuple(map(in_words, due_said(kit.due))), in_words(used_said(kit.due))) for kit in found.kits)
    classes = () if found is None else tuple(KeptClass(
        in_words(members_said(one, kits)), in_words(rate_said(one)), in_words(lasting_said(one)))
        for one in found.classes)
    return render_template("yard/upkeep.html", soon=found is None, kits=lines, classes=classes,
                           chance=round(100 * found.chance) if found else 0)


@bp.get("/upkeep.csv")
def table() -> Response | tuple[str, int]:
    """The same for a spreadsheet program."""
    found = _found(TABLE_PATIENCE_S)
    if found is None:
        return "", 503
    return Response(upkeep_csv(found), mimetype="text/csv",
                    headers={"Content-Disposition": 'attachment; filename="upkeep.csv"'})


def _found(patience_s: float) -> Upkeep | None:
    """Worked out beside the pages, once a day and entry."""
    now = clock_now()
    kits = pooling.plain_kits()
    asked: tuple[date, tuple[tuple[str, int], ...]] = (now.date(), tuple(
        (kit.name, len(kit.state.entries)) for kit in kits))
    return beside().answer("upkeep", asked, lambda: upkeep(kits, now=now), patience_s=patience_s)
