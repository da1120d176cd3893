"""Frames that the tests of this room share, each built once."""

import pytest

from fieldapp.frame.build import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.statics.model import model


def paper_dome_design():
    """8 m frame of paper tubes on one-ply birch arms: the frame whose stages the erection must get right."""
    return Design(
        frame=FrameSection(frequency=3, cut="5/9", level_base=True, diameter_m=8.0),
        strut=StrutSection(material="paper tube", outer_mm=60.0, wall_mm=4.0, youngs_modulus_mpa=1500.0,
                           shear_modulus_mpa=1500.0 / 2.6, density_kg_m3=750.0),
        hub=HubSection(material="birch plywood 9", reach_mm=120.0, plies=1, ply_mm=8.0, arm_depth_mm=50.0,
                       mass_kg=3.0 / 9.80665, youngs_modulus_mpa=7000.0, shear_modulus_mpa=600.0,
                       density_kg_m3=700.0, design_strength_mpa=30.0),
    )


@pytest.fixture(scope="session")
def paper_dome():
    """(design, frame, model) of the 8 m frame."""
    design = paper_dome_design()
    frame = build_frame(design)
    return design, frame, model(frame, design)


@pytest.fixture(scope="session")
def small_dome():
    """(design, frame, model) of a frequency 2 half, 4 m, of pine poles."""
    design = Design(frame=FrameSection(frequency=2, cut="1/2", level_base=False, diameter_m=4.0),
                    strut=StrutSection(section="rod", material="C24", outer_mm=35.0, wall_mm=None))
    frame = build_frame(design)
    return design, frame, model(frame, design)
