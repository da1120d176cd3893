"""How much of an arm, an end or a whole part a defect leaves, as the statics take it."""

from collections.abc import Mapping

from fieldapp.base.materials import Family, material
from fieldapp.frame.design import Design
from fieldapp.kit.kit import PartKind
from fieldapp.log.state import Defect

LEFT: dict[str, tuple[float, float]] = {
    "arm_snapped": (0.0, 0.0),
    "arm_cracked": (0.5, 0.0),
    "arm_loose": (0.5, 0.0),
    "hole_torn": (0.5, 0.0),
    "glue_open": (0.5, 0.0),
    "end_crushed": (0.5, 0.0),
    "end_split": (0.5, 0.0),
    "split": (0.5, 0.0),
    "buckled": (0.0, 0.0),
    "dented": (0.8, 0.5),
    "soaked": (0.75, 0.5),
    "came_in_wet": (0.75, 0.5),
}
"""Damage → share of a sound one that is left (slight, bad). Our choice, on the safe side: nobody can see the
strength of a cracked arm. Not sure counts as bad. Damp wood: a little below the step from service class 2 to 3
(EN 1995-1-1 Table 3.1: 0.7/0.9)."""

WET = frozenset({"soaked", "came_in_wet"})
PAPER_WET = (0.5, 0.0)
"""The same for paper that got wet: at 12 % moisture half its strength is gone, at 17 % all of it (Correa 2004, see
`base.moisture`)."""

OTHER_LEFT = (1.0, 0.0)
"""The same for damage in somebody's own words, and for failed checks."""


def share_left(defect: Defect, family: Family = "timber") -> float:
    """Share of a sound one that one open defect leaves, 0 to 1; a mended one counts by what its repair states.

    Examples
    --------
    >>> wet = Defect("", "soaked", "soaked", unsafe=True)
    >>> share_left(wet), share_left(wet, "paper"), share_left(wet, "steel")
    (0.5, 0.0, 1.0)
    """
    if defect.mended:
        return 1.0
    slight, bad = LEFT.get(defect.what, OTHER_LEFT)
    if defect.what in WET and family in ("steel", "aluminium"):
        return 1.0
    if defect.what in WET and family == "paper":
        slight, bad = PAPER_WET
    return bad if defect.unsafe else slight


def families(design: Design) -> Mapping[PartKind, Family]:
    """Of what hubs and struts are made."""
    return {"hub": material(design.hub.material).family, "strut": material(design.strut.material).family}
