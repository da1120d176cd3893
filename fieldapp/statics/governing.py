"""Which arm, tube or hub of a stage it is that governs a limit."""

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.buckling import hub_that_buckles
from fieldapp.statics.governs import ARM, STABILITY, TUBE, Governs
from fieldapp.statics.stiffness import Factored, Stage


def arm_at(stage: Stage, station: int) -> tuple[str, str]:
    """Strut and hub of the arm that one of (struts × 4) stations belongs to."""
    row, place = divmod(station, 4)
    number = int(stage.struts[row])
    return stage.model.strut_names[number], stage.model.hub_names[int(stage.model.ends[number, place // 2])]


def governing_arm(stage: Stage, station: int) -> Governs | None:
    """The arm at a station, as what governs a limit; None for no station (-1)."""
    return Governs(ARM, *arm_at(stage, station)) if station >= 0 else None


def governing_tube(stage: Stage, strut: int) -> Governs | None:
    """The tube of a strut number, as what governs a limit; None for no strut (-1)."""
    return Governs(TUBE, stage.model.strut_names[strut]) if strut >= 0 else None


def buckling_under(ready: Factored, tension_n: FloatArray) -> Governs:
    """The stage, with the hub that moves most as it buckles under these axial forces, (struts,) [N]."""
    return Governs(STABILITY, hub=hub_that_buckles(ready, tension_n))
