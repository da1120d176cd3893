"""Any other joint whose stiffness was measured: rotational springs at the hub centre, 0 both ways for a pin."""

from dataclasses import replace

from fieldapp.base.joints.flat_arm import FLAT_ARM
from fieldapp.base.joints.joint import Fit, Joint, Member, Needed, Workshop
from fieldapp.base.words import marked

SPRING = Joint(
    kind="spring",
    question="something else whose stiffness you measured (spring)",
    needed=(Needed("stiffness_out_nm_rad", "Measure it, or write 0 for a hinge."),),
    member=Member(springs=True, rigid=True, arm_of="hub"),
    fit=Fit(share_inside=0.0),
    assembly=FLAT_ARM.assembly,
    workshop=Workshop(
        sheet=False,
        hub=marked("{material}; joint \"spring\"; struts end {reach} mm from the hub's centre."),
        dips=(marked("The design has the joint \"spring\": no blank is drawn, only directions, dips and where the "
                     "struts end, {reach} mm from the hub's centre along each strut."),)),
    break_test=replace(FLAT_ARM.break_test, foretold=False),
    inspection=FLAT_ARM.inspection,
)
"""What nobody knows of it, it says as the flat arm does."""
