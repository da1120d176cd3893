"""Two parts scanned in a row, in words, with the presses that they offer."""

from dataclasses import dataclass

from fieldapp.kit.kit import Kit
from fieldapp.log.state import State
from fieldapp.reports.raising.pairing import Pairing, pairing
from fieldapp.wording.pairing import pairing_words

MOST_OFFERED = 2


@dataclass(frozen=True, slots=True)
class PairView:
    """The answer to "does this strut go into this hub?"."""

    before: str
    """ID of the part scanned just before."""
    fits: bool
    lines: tuple[str, ...]
    strut: str
    offers: tuple[str, ...]
    """Strut places at this hub where the strut fits if two places are exchanged."""


def pair_view(kit: Kit, state: State, this: str, before: str | None) -> PairView | None:
    """None unless one is a hub and the other a strut of this kit, to be fitted still or fitted at this hub."""
    if before is None or before not in state.parts or state.phase == "striking":
        return None
    kinds = {state.part(part).kind: part for part in (this, before)}
    if len(kinds) != 2:
        return None
    found = pairing(kit, state, strut=kinds["strut"], hub=kinds["hub"])
    if not found.fits and state.parts[found.strut].fitted_at:
        return None      # that strut is done with: the next scan is another errand
    return PairView(before, found.fits, pairing_words(found), found.strut, _offers(state, found))


def _offers(state: State, found: Pairing) -> tuple[str, ...]:
    past = state.parts[found.strut]
    if past.fitted_at or not past.usable:
        return ()
    return tuple(seat.strut_place for seat in found.could_go[:MOST_OFFERED])
