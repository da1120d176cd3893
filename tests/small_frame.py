"""Small frames for tests that need ways of raising: one breaks, one lifts, two stand; and the smallest that has all."""

from fieldapp.frame.design import Design, FrameSection, HubSection, RaisingSection, SparesSection, StrutSection

SPARES = SparesSection(hubs_most_common=1, hubs_each_other=1, struts_each=1)
"""One of each kind."""


def small_design(**sections):
    """26 hubs, frequency 2, cut at half, 4.4 m, of 30 mm poles; crown first, by three, breaks one of its plywood arms.

    Further sections as they are given; spares, labels, site and a way make no other ways to be judged.
    """
    raising = sections.pop("raising", RaisingSection()).model_copy(update={"crown_carriers": 3})
    return Design(
        frame=FrameSection(name="Orchard Hall", prefix="OH", frequency=2, cut="1/2", diameter_m=4.4),
        strut=StrutSection(section="rod", material="C24", outer_mm=30.0),
        hub=HubSection(joint="flat arm", material="birch plywood 15", reach_mm=110.0, ply_mm=15.0, arm_depth_mm=34.0,
                       mass_kg=0.4), raising=raising, **sections)


def tiny_design(**sections):
    """11 hubs, 25 struts, frequency 1, cut at two thirds, 2.2 m, of 30 mm poles on the same hubs."""
    return small_design(**sections).model_copy(update={"frame": FrameSection(
        name="Orchard Hall", prefix="OH", frequency=1, cut="2/3", diameter_m=2.2)})
