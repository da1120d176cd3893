"""Kits of the plan tests, each built once."""

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import CrewSection, Design, FrameSection, HubSection, StrutSection
from fieldapp.kit.build import build_kit


def paper_design(**crew):
    """8 m frame of paper tube with one birch arm; the material values are the example's own."""
    return Design(
        frame=FrameSection(frequency=3, cut="5/9", level_base=True, diameter_m=8.0),
        strut=StrutSection(section="tube", material="paper tube", outer_mm=60.0, wall_mm=4.0, stock_mm=2400.0,
                           youngs_modulus_mpa=1500.0, shear_modulus_mpa=1500.0 / 2.6, density_kg_m3=750.0),
        hub=HubSection(joint="flat arm", material="birch plywood 9", reach_mm=120.0, plies=1, ply_mm=8.0,
                       arm_depth_mm=50.0, mass_kg=3.0 / 9.80665, youngs_modulus_mpa=7000.0, shear_modulus_mpa=600.0,
                       density_kg_m3=700.0, design_strength_mpa=30.0),
        crew=CrewSection(**{"people": 12, "teams": 3, **crew}),
    )


@pytest.fixture(scope="session")
def paper_kit():
    return build_kit(paper_design(ladder_m=2.4))


@pytest.fixture(scope="session")
def hall_kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="session")
def small_kit():
    """26 hubs, frequency 2, cut at half."""
    return build_kit(Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=4.0)))
