"""A ball with threaded holes: struts are screwed in from every side, and count as hinged: one alone holds nothing."""

from dataclasses import replace

from fieldapp.base.joints.flat_arm import FLAT_ARM
from fieldapp.base.joints.joint import (
    ArmSizes,
    Assembly,
    CheckLine,
    Fit,
    Inspection,
    Joint,
    Member,
    Workshop,
)
from fieldapp.base.sections import Section, rod
from fieldapp.base.words import marked


def screw_section(sizes: ArmSizes) -> Section:
    """The core of the screw, `hub.arm_depth_mm` across: what it bears along itself; it counts for no bending."""
    return rod(sizes.depth_mm)


BALL_NODE = Joint(
    kind="ball node",
    question="a screw into a ball from any side, its core hub.arm_depth_mm thick (ball node)",
    every_way=True,
    member=Member(springs=True, rigid=True, arm_of="hub", section=screw_section),
    fit=Fit(share_inside=0.0),
    assembly=Assembly(
        yes=marked("Yes. Screw end {end} of {strut} into hole {arm} of {hub}."),
        first=marked("Screw it into {hub} first; tighten when both ends are in."),
        at_arm=marked("{end} screwed into hole {arm} of {hub}"),
        end_in_hand=marked("The end in your hand ({end}) is screwed into hole {arm} of {hub}"),
        talk=marked("Turn the screw in by hand until it runs, then to its mark. Hold the strut's free end until that "
                    "is in too, then tighten both."),
        hanging=marked("Never let a strut hang on one screw: it counts as a hinge and holds nothing. Hold its free end "
                       "until that is in too."),
        push=marked("Bring the screw in line with its hole with two hands, no harder than the step says. If the thread "
                    "bites or jams, back out and look."),
        strike=marked("Hold first, then undo screws. Take hold of the free end before a strut's last screw comes out."),
        every_strut=marked("Every strut: screwed in to its mark at both ends, the whole ID compared"),
        nothing_broken=marked("No thread torn, no screw bent, no strut split, nothing wet that was dry")),
    workshop=Workshop(
        sheet=False,
        hub=marked("{material}; balls with a threaded hole for each strut; struts end {reach} mm from the ball's "
                   "centre."),
        reading=(
            marked("Arms that lie one behind the other are drawn side by side. Drill by the table: \"direction\" "
                   "clockwise round the ball from its arrow, \"dip\" below the plane through its middle; with a minus "
                   "above it, toward the marked face."),),
        dips=(marked("No blank is drawn. Every hole points at the ball's centre, by its direction and dip; struts end "
                     "{reach} mm from the centre."),)),
    break_test=replace(FLAT_ARM.break_test, foretold=False),
    inspection=Inspection(
        arms=False,
        ends=(CheckLine("screws", "Screw and sleeve at both ends: straight, thread whole, it runs by hand, nothing "
                        "loose in the strut.", critical=True, each=True),),
        hub=(CheckLine("threads", "Look into every hole: thread whole and clean, no crack round it.", critical=True),)),
)
"""Bending that real screws bear is not counted: nobody has a value for it (our choice)."""
