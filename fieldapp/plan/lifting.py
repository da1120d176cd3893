"""What is lifted as one, and by how many people by its mass."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.base.constants import LIFT_ABOVE_SHOULDER_CLOSE_KG
from fieldapp.base.errors import PlanError
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.plan.reach import highest_grip_mm
from fieldapp.plan.ways import levels


def lifters_for_mass(mass_kg: float) -> int:
    """People needed to raise `mass_kg` above the shoulder, held close, spread evenly over them.

    Source: (P13): HSE L23, INDG143; women's row our choice. Test: tests/plan/test_reach.py

    Notes
    -----
    The filter's figure for women above the shoulder, since the crew is mixed. Above the filter a
    proper assessment of the lift is due; the number is a first sieve, not a permission.

    Examples
    --------
    >>> lifters_for_mass(20.0)
    3
    """
    return max(1, math.ceil(mass_kg / LIFT_ABOVE_SHOULDER_CLOSE_KG["women"] - 1e-9))


@dataclass(frozen=True, slots=True)
class TopPiece:
    """The levels from one level up, with the struts that will join them to the level below hanging from them."""

    piece_level: int
    """Index of its lowest level among the levels that are filled, from 0."""
    hubs: tuple[str, ...]
    struts: tuple[str, ...]
    joints: tuple[str, ...]
    """Hub places of the standing part where its hanging struts end."""
    mass_kg: float
    lifters: int
    """By mass alone, see `lifters_for_mass`."""
    join_height_mm: float
    """Highest joint to be closed in the air [mm]."""


def top_pieces(frame: Frame, kit: Kit, left_out: Sequence[str]) -> tuple[TopPiece, ...]:
    """Every top piece, smallest first: the top level alone, the two top levels, and so on."""
    order = levels(frame, left_out)
    return tuple(_piece(frame, kit, left_out, level) for level in range(len(order) - 1, 0, -1))


def chosen_piece(pieces: Sequence[TopPiece], design: Design) -> TopPiece:
    """The largest piece within `raising.crown_piece_struts`, or else the smallest that is reached at every joint.

    A piece of one hub alone is only taken if no more is allowed: it is the plain order with struts put on early.

    Raises
    ------
    PlanError
        If no piece has so few struts.
    """
    wanted = design.raising.crown_piece_struts
    if wanted is not None:
        within = [piece for piece in pieces if len(piece.struts) <= wanted]
        if not within:
            raise PlanError(f"raising.crown_piece_struts is {wanted}, but the smallest crown piece of this frame has "
                            f"{len(pieces[0].struts)} struts; allow that many or choose another way")
        return within[-1]
    grip_mm = highest_grip_mm(design.crew)
    several = [piece for piece in pieces if len(piece.hubs) > 1] or list(pieces)
    return next((piece for piece in several if piece.join_height_mm <= grip_mm), several[-1])


def _piece(frame: Frame, kit: Kit, left_out: Sequence[str], level: int) -> TopPiece:
    missing = set(left_out)
    order = levels(frame, left_out)
    below = {name for hubs in order[:level] for name in hubs}
    hubs = tuple(name for above in order[level:] for name in above)
    carried = [s for s in frame.struts if s.name not in missing and {s.end_1.hub, s.end_2.hub} & set(hubs)
               and {s.end_1.hub, s.end_2.hub} <= below | set(hubs)]
    joints = dict.fromkeys(hub for s in carried for hub in (s.end_1.hub, s.end_2.hub) if hub in below)
    mass_kg = sum(kit.by_place[place].mass_kg for place in (*hubs, *(s.name for s in carried)))
    return TopPiece(level, hubs, tuple(s.name for s in carried), tuple(joints), mass_kg, lifters_for_mass(mass_kg),
                      max((float(frame.position_mm(hub)[2]) for hub in joints), default=0.0))
