"""Breaks in the frame one by one, beside their picture: where, when, and how hard the place is used."""

from collections.abc import Iterable
from dataclasses import dataclass

from fieldapp.kit.kit import Kit
from fieldapp.reports.damage.breakage_map import BreakageMap, BreakRow
from fieldapp.web.common.i18n import _
from fieldapp.wording.log import entry_words


@dataclass(frozen=True, slots=True)
class BreakLine:
    """One break in the frame, for whoever makes the next hub."""

    spot: str
    words: str


def break_lines(found: BreakageMap, kit: Kit) -> tuple[BreakLine, ...]:
    """Place, arm, step, and how hard the place is used against the others, newest first."""
    return tuple(BreakLine(_spot_words(row, kit), " · ".join(_break_words(row, kit))) for row in reversed(found.rows))


def _spot_words(row: BreakRow, kit: Kit) -> str:
    if row.arm is None:
        return row.place
    strut = kit.frame.hub(row.place).arms[row.arm - 1].strut
    return _("{hub}, arm for {strut}").format(hub=row.place, strut=strut)


def _break_words(row: BreakRow, kit: Kit) -> Iterable[str]:
    yield _("asked {use} of what it can take; {share} of such places are asked more").format(
        use=f"{row.use:.0%}", share=f"{row.harder:.0%}")
    if row.step:
        yield _("while step {step} was built").format(step=row.step)
    yield entry_words(row.entry, kit)
