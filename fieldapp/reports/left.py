"""How much of an arm, an end or a whole part a defect leaves, as the statics take it."""

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

OTHER_LEFT = (1.0, 0.0)
"""The same for damage in somebody's own words, and for failed checks."""


def share_left(defect: Defect) -> float:
    """Share of a sound one that one open defect leaves, 0 to 1; a mended one counts by what its repair states."""
    slight, bad = LEFT.get(defect.what, OTHER_LEFT)
    if defect.mended:
        return 1.0
    return bad if defect.unsafe else slight
