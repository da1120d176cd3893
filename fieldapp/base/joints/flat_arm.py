"""A flat arm of the hub, pushed into the strut's end: the usual sheet hub."""

import math

from fieldapp.base.joints.joint import Assembly, BreakTest, CheckLine, Fit, Inspection, Joint, Member, Workshop
from fieldapp.base.words import marked

SHARE_INSIDE = 0.5
"""Part of the reach that sits inside the strut if the design does not say [1].
Source: common practice, no source. Test: tests/base/test_joints.py"""


def bore_mm(width_mm: float, thickness_mm: float, off_mm: float) -> float:
    """Inner diameter in which a flat arm sits straight with its packing [mm].

    A corner of the arm is the farthest from the strut's axis: half the width one way, half the thickness and
    `off_mm` the other.

    Examples
    --------
    >>> bore_mm(40.0, 30.0, 0.0)
    50.0
    """
    return 2.0 * math.hypot(width_mm / 2, thickness_mm / 2 + off_mm)


FLAT_ARM = Joint(
    kind="flat arm",
    question="a flat arm pushed into it",
    member=Member(springs=False, rigid=False, arm_of="hub"),
    fit=Fit(share_inside=SHARE_INSIDE, bore_mm=bore_mm),
    assembly=Assembly(
        yes=marked("Yes. Push end {end} of {strut} onto arm {arm} of {hub}."),
        first=marked("Push it onto {hub} first."),
        at_arm=marked("{end} into arm {arm} of {hub}"),
        end_in_hand=marked("The end in your hand ({end}) into arm {arm} of {hub}"),
        talk=marked("Push the strut straight onto the arm. Hold its free end until that is on its arm too."),
        hanging=marked("Never let a strut hang on one arm: hold its free end until it is on. The arm is what breaks."),
        push=marked("Push straight, with two hands, no harder than the step says. If it cracks or jams, stop and "
                    "look."),
        strike=marked("Hold first, then loosen. Take hold of the free end before a strut comes off its arm."),
        every_strut=marked("Every strut: pushed home at both ends, the whole ID compared"),
        nothing_broken=marked("No arm cracked or bent, no strut split, nothing wet that was dry")),
    workshop=Workshop(
        sheet=True,
        hub=marked("{material}, {layers}, {thickness} mm in all. Arms {width} mm wide. Struts end {reach} mm from the "
                   "centre, measured along the strut; arms go {deeper} mm deeper. Radius between arms {root} mm, "
                   "middle {middle} mm across."),
        reading=(
            marked("Strut ends and pin marks are engraved where the dip puts them. Pins are up to you: try one joint "
                   "first, drill no arm without a break test of a drilled one."),
            marked("Dust mask, goggles, sheet clamped down; the machine's own instructions and local rules come "
                   "first."))),
    break_test=BreakTest(
        title=marked("Break test: what does a hub arm bear?"),
        series=marked("Take hubs from the same sheets and the same hands as the real ones: at least {fewest} arms, "
                      "better six. Mix arms that lie along and across the grain. Never use a tested hub again."),
        clamped=marked("Clamp the hub flat, outside up, so that the arm's root lies right at the edge of the bench."),
        lever=marked("Push a strut on as on site, pin and packing included. Mark the place for the load, measured "
                     "level from the root, where the arm leaves the hub. Here: {lever} mm."),
        foretold=True,
        weigh=marked("When it breaks, weigh everything that hung: bucket, hook, load. Add half the weight of the "
                     "lever. Write down also what slipped or split first: that is the result too."),
        wet=marked("Rain expected? Lay three more hubs in water overnight and test them wet, as a series of their "
                   "own."),
        one_series=marked("One series holds arms of one kind, tested with one lever in one state. Leave out no low "
                          "value: the low ones are why you test. Repeat a test only if the clamp or the lever failed, "
                          "not the arm."),
        strut=marked("strut, pushed on as on site"),
        sudden=marked("Goggles for everybody near. Arms break suddenly; splinters fly and the lever drops."),
        root=marked("root at the edge"),
        measured=marked("lever {mm} mm, from the root to the load"),
        heads=(marked("Hub class or ID"), marked("Arm"))),
    inspection=Inspection(
        arms=True,
        ends=(CheckLine("ends", "Look into and at both ends: not crushed, split or worn.", critical=True, each=True),
              CheckLine("holes", "Bolt or pin holes, if there are any: round, nothing torn towards the edge.",
                        each=True))),
)
