"""Frames that the tests of this room share, each built once."""

import pytest

from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.statics.model import model


def lean_design():
    """5.2 m, two thirds of a sphere: poles of 34 mm on aluminium arms of 3 × 30 mm, so weak that some orders break."""
    return Design(
        frame=FrameSection(frequency=2, cut="2/3", level_base=True, diameter_m=5.2),
        strut=StrutSection(section="rod", material="C24", outer_mm=34.0),
        hub=HubSection(joint="flat arm", material="EN AW-6060 T66", reach_mm=90.0, plies=1, ply_mm=3.0,
                       arm_depth_mm=30.0, mass_kg=0.3),
    )


@pytest.fixture(scope="session")
def lean_dome():
    """(design, frame, model): 36 hubs in rings of 10, 10, 10, 5 and 1, 95 struts."""
    design = lean_design()
    frame = build_frame(design)
    return design, frame, model(frame, design)


@pytest.fixture(scope="session")
def small_dome():
    """(design, frame, model) of a frequency 2 half, 4.4 m, of 32 mm poles on steel arms."""
    design = Design(frame=FrameSection(frequency=2, cut="1/2", level_base=False, diameter_m=4.4),
                    strut=StrutSection(section="rod", material="C24", outer_mm=32.0),
                    hub=HubSection(joint="flat arm", material="S235", reach_mm=85.0, ply_mm=4.0, arm_depth_mm=30.0,
                                   mass_kg=0.5))
    frame = build_frame(design)
    return design, frame, model(frame, design)
