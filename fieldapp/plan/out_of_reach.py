"""Hubs that the crew's equipment does not reach, and the three ways out: higher, lower, or without."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fieldapp.base.said import in_words
from fieldapp.kit.kit import Kit
from fieldapp.plan.assemble import plan_of_placements
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.doorway import places_left_out, with_struts
from fieldapp.plan.lifting import TopPiece, top_pieces
from fieldapp.plan.reach import highest_grip_mm, reach
from fieldapp.plan.stages import StageAnalysis, analysis, fitted_after
from fieldapp.plan.symmetry import hubs_alike
from fieldapp.plan.ways import by_levels, level_by_level, levels
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import Governs
from fieldapp.statics.untested import is_untested


@dataclass(frozen=True, slots=True)
class Without:
    """The finished frame with a hub left out, against the whole one."""

    stands: bool
    holds: tuple[str, ...]
    """Hubs that geometry alone does not hold any more."""
    use: float
    """Share of what gives way first under 1.35 × weight; infinite if it does not stand …"""
    use_with: float
    """… and with it."""
    governs: Governs | None
    """What gives way first without it."""
    wind_m_s: float | None
    wind_m_s_with: float | None
    tested: bool = True
    """False where nobody has tested what the parts bear: then uses and winds are told to none."""

    @property
    def words(self) -> str:
        """What leaving it out means."""
        if not self.stands:
            return "the frame does not stand without it"
        loose = f"; {', '.join(self.holds)} then rely on their arms" if self.holds else ""
        if not self.tested:
            return f"the frame stands without it by its shape, strength not tested{loose}"
        if self.use > 1.0:
            return f"the frame gives way without it under its weight: {in_words(gives_way(self.governs))}{loose}"
        wind = "" if self.wind_m_s is None or self.wind_m_s_with is None else \
            f", wind limit {self.wind_m_s:.1f} m/s instead of {self.wind_m_s_with:.1f}"
        return (f"the frame stands without it, its use is {_up(self.use)} instead of {_up(self.use_with)}{wind}"
                f"{loose}")


@dataclass(frozen=True, slots=True)
class OutOfReach:
    """One hub and the alternatives."""

    hub: str
    height_mm: float
    reach_mm: float
    """The highest hub that everybody in the crew reaches."""
    platform_mm: float
    """Standing height that would do."""
    pieces: tuple[TopPiece, ...]
    """Crown pieces that contain it and are joined within reach."""
    without: Without


def out_of_reach(kit: Kit, case: Case | None = None) -> tuple[OutOfReach, ...]:
    """Every hub that is out of reach when the frame is built from the ground, lowest first.

    Leaving out is judged once for hubs that sit alike (see `symmetry`), and is said of each of them.

    Parameters
    ----------
    kit : Kit
    case : Case, optional
        The kit's statics, if they are at hand.

    Raises
    ------
    StaticsError
        If the statics have no answer.
    """
    crew, frame = kit.design.crew, kit.frame
    missing = places_left_out(frame, kit.design)
    heights = {hub.name: float(frame.position_mm(hub.name)[2]) for hub in frame.hubs if hub.name not in missing}
    far = [name for name, height_mm in heights.items() if not reach(height_mm, crew).reachable]
    if not far:
        return ()
    case = case_of(kit) if case is None else case
    grip_mm = highest_grip_mm(crew)
    pieces = [piece for piece in top_pieces(frame, kit, missing) if piece.join_height_mm <= grip_mm]
    whole = finished(case, missing)
    filled = [strut.name for strut in frame.struts if strut.name not in missing]
    without = {name: answer for group in hubs_alike(frame, far, filled)
               for answer in [_without(case, whole, (*missing, group[0]))] for name in group}
    return tuple(OutOfReach(name, heights[name], grip_mm, reach(heights[name], crew).needed_mm,
                            tuple(piece for piece in pieces if name in piece.hubs)[:2], without[name])
                 for name in sorted(far, key=lambda hub: (round(heights[hub], 3), hub)))


def finished(case: Case, left_out: Sequence[str]) -> StageAnalysis:
    """The frame with all its places filled but those left out."""
    frame = case.frame
    plan = plan_of_placements(frame, by_levels(frame), level_by_level(frame, levels(frame, left_out)),
                              left_out=left_out)
    return analysis(case, fitted_after(plan, len(plan.steps)))


def _without(case: Case, whole: StageAnalysis, left_out: Sequence[str]) -> Without:
    rest = finished(case, with_struts(case.frame, left_out))
    if is_untested(case.design):
        return Without(rest.stands, rest.holds, math.inf, math.inf, None, None, None, tested=False)
    return Without(rest.stands, rest.holds, _use(rest), _use(whole), rest.verdict.governs, _wind_m_s(rest),
                   _wind_m_s(whole))


def _use(stage: StageAnalysis) -> float:
    bears = stage.verdict.value
    return 1.0 / bears if bears > 0 else math.inf


def _up(use: float) -> str:
    return f"{math.ceil(100.0 * use - 1e-9) / 100.0:.2f}"


def _wind_m_s(stage: StageAnalysis) -> float | None:
    """Rounded down."""
    return None if stage.wind is None else math.floor(10.0 * stage.wind.speed_m_s + 1e-9) / 10.0
