"""The design of Orchard Hall. The scenario and every number in it are invented.

Poles are sawn against a stop to within a millimetre; arms are cut and dipped in a jig to within a quarter of a degree,
0.4 mm at an arm's end.
"""

from fieldapp.frame.design import (
    CrewSection,
    Design,
    FrameSection,
    HubSection,
    LabelsSection,
    RaisingSection,
    SparesSection,
)
from fieldapp.frame.ground import GroundSection
from fieldapp.frame.site import SiteSection
from fieldapp.frame.struts import StrutSection


def orchard_hall() -> Design:
    """Frequency 3, cut 5/9, level base, 6.40 m; pine poles and birch plywood hubs.

    Examples
    --------
    >>> orchard_hall().frame.prefix
    'OH'
    """
    return Design(
        frame=FrameSection(name="Orchard Hall", prefix="OH", frequency=3, cut="5/9", level_base=True,
                           diameter_m=6.40, doorway=True),
        strut=StrutSection(section="rod", material="C24", outer_mm=35.0, wall_mm=None,
                           stock_mm=2400.0, kerf_mm=3.0),
        hub=HubSection(joint="flat arm", material="birch plywood 12", reach_mm=95.0, plies=2, ply_mm=12.0,
                       arm_depth_mm=45.0, angle_error_deg=0.25, mass_kg=0.50, test_lever_mm=600.0,
                       test_loads_n=(118.0, 131.0, 124.0, 109.0)),
        spares=SparesSection(hubs_most_common=3, hubs_each_other=2, struts_each=4),
        crew=CrewSection(people=12, lifters=2, teams=3, platform_m=1.9, ladder_m=1.0),
        raising=RaisingSection(),
        ground=GroundSection(
            stands_on="grass", held_by="pegs", pull_test_up_n=(620.0, 540.0, 700.0), pull_test_wet=True,
            pull_test_sideways_n=(780.0, 690.0, 810.0), pull_test_note="after two days of rain, carpenter 1"),
        labels=LabelsSection(),
        site=SiteSection(address="http://10.0.0.1:8000", wifi_name="OrchardHall", wifi_password="harvest2027"),
    )
