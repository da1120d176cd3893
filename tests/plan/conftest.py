"""Kits of the plan tests, each built once."""

import pytest
from small_frame import small_design, tiny_design

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import CrewSection, Design, FrameSection, HubSection, RaisingSection, StrutSection
from fieldapp.kit import build_kit


def lean_design(**crew):
    """6 m, less than half a sphere: aluminium tubes on aluminium arms of 3.5 × 30 mm, so weak that some ways break even
    where all parts fit.

    The crown is carried at three hubs, and the crew has a step of 0.3 m.
    """
    return Design(
        frame=FrameSection(frequency=3, cut="4/9", level_base=True, diameter_m=6.0),
        strut=StrutSection(section="tube", material="EN AW-6060 T66", outer_mm=30.0, wall_mm=2.0, stock_mm=3000.0,
                           length_error_mm=0.0),
        hub=HubSection(joint="flat arm", material="EN AW-6060 T66", reach_mm=80.0, plies=1, ply_mm=3.5,
                       arm_depth_mm=30.0, mass_kg=0.25, angle_error_deg=0.0),
        crew=CrewSection(**{"people": 9, "teams": 2, "ladder_m": 0.3, **crew}),
        raising=RaisingSection(crown_carriers=3),
    )


@pytest.fixture(scope="session")
def lean_kit():
    """46 hubs in rings of 15, 15, 10, 5 and 1, 120 struts."""
    return build_kit(lean_design())


@pytest.fixture(scope="session")
def hall_kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="session")
def small_kit():
    """26 hubs, frequency 2, cut at half, 4.4 m, of 30 mm poles."""
    return build_kit(small_design())


@pytest.fixture(scope="session")
def tiny_kit():
    """11 hubs, 25 struts: for what is the same of any frame and asks for ways of its own."""
    return build_kit(tiny_design())


def exact(design):
    """Of parts that come out as drawn, so that nothing is locked in."""
    return design.model_copy(update={"strut": design.strut.model_copy(update={"length_error_mm": 0.0}),
                                     "hub": design.hub.model_copy(update={"angle_error_deg": 0.0})})


@pytest.fixture(scope="session")
def exact_kit(small_kit):
    """The small one of parts that fit."""
    return build_kit(exact(small_kit.design))
