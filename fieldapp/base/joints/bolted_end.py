"""The strut's own end, flattened, drilled, bent by the dip and bolted to the hub at its centre."""

from fieldapp.base.joints.joint import Assembly, BreakTest, CheckLine, Fit, Inspection, Joint, Member, Workshop
from fieldapp.base.words import marked

BOLTED_END = Joint(
    kind="bolted end",
    question="its flattened end bolted on",
    member=Member(springs=True, rigid=False, arm_of="strut"),
    fit=Fit(share_inside=0.0),
    assembly=Assembly(
        yes=marked("Yes. Bolt end {end} of {strut} on at arm {arm} of {hub}."),
        first=marked("Bolt it to {hub} first; tighten when both ends are on."),
        at_arm=marked("{end} bolted on at arm {arm} of {hub}"),
        end_in_hand=marked("The end in your hand ({end}) is bolted on at arm {arm} of {hub}"),
        talk=marked("Lay the flattened end on the hub, put the bolt through, run the nut on. Hold the strut's free end "
                    "until that is bolted too, then tighten both."),
        hanging=marked("Never let a strut hang on one bolt: hold its free end until that is bolted too. The flattened "
                       "end is what breaks."),
        push=marked("Bring hole over hole with two hands, no harder than the step says, and keep fingers out of the "
                    "holes. If it cracks or jams, stop and look."),
        strike=marked("Hold first, then undo bolts. Take hold of the free end before a strut's last bolt comes out."),
        every_strut=marked("Every strut: bolted on at both ends, every nut tight, the whole ID compared"),
        nothing_broken=marked("No flattened end cracked, no hole torn, no strut split, nothing wet that was dry")),
    workshop=Workshop(
        sheet=False,
        hub=marked("{material}; struts are bolted on by their flattened ends, their round parts begin {reach} mm from "
                   "the hub's centre."),
        reading=(
            marked("Drill with the strut clamped and goggles on; take the burr off every hole and edge. The machine's "
                   "own instructions and local rules come first."),),
        dips=(
            marked("No blank is drawn, only directions, dips and where the round part of each strut begins, {reach} mm "
                   "from the hub's centre along the strut."),
            marked("Bend each flattened end by its dip, at the place where the round part begins. What counts is the "
                   "distance from hole to hole: bolt two struts of a class on each other and compare.")),
        cutting=(
            marked("Lengths here, in the plan and in the table are those of the round part alone. At each end add "
                   "{reach} mm up to the middle of the hole, and what stands beyond it: allow for that when you buy "
                   "and saw."),
            marked("Flatten, then drill: from hole to hole it is the length in the table and {twice} mm more."))),
    break_test=BreakTest(
        title=marked("Break test: what does a bolted end bear?"),
        series=marked("Take struts from the same stock, flattened and drilled by the same hands as the real ones: at "
                      "least {fewest} ends, better six. Never use a tested strut or bolt again."),
        clamped=marked("Clamp the hub flat, outside up, so that the middle of the bolt lies right at the edge of the "
                       "bench."),
        lever=marked("Bolt a strut on as on site, washers included, the nut as tight as there. Mark the place for the "
                     "load, measured level from the middle of the bolt. Here: {lever} mm."),
        foretold=False,
        weigh=marked("An end that stays bent has broken: what hung when it first stayed bent is its load. Weigh "
                     "everything that hung: bucket, hook, load. Add half the weight of the strut. Write down also what "
                     "turned or tore first: that is the result too."),
        wet=marked("Struts of paper or wood, and rain expected? Lay three more in water overnight and test them wet, "
                   "as a series of their own."),
        one_series=marked("One series holds ends of one kind, tested with one lever in one state. Leave out no low "
                          "value: the low ones are why you test. Repeat a test only if the clamp or the lever failed, "
                          "not the end."),
        strut=marked("strut, bolted on as on site"),
        sudden=marked("Goggles for everybody near. Ends tear or fold suddenly; splinters fly and the strut drops."),
        root=marked("bolt at the edge"),
        measured=marked("lever {mm} mm, from the bolt to the load"),
        heads=(marked("Strut class or ID"), marked("End"))),
    inspection=Inspection(
        arms=False,
        ends=(CheckLine("flattened ends", "Look at both faces of the flattened end and at the bend where the round "
                        "part begins: no crack, no split, not bent to and fro.", critical=True, each=True),
              CheckLine("holes", "Bolt hole: round, not stretched, nothing torn towards the edge.", critical=True,
                        each=True)),
        hub=(CheckLine("cracks", "Look round every hole and along every edge of the hub: no crack, no layer that "
                        "lifts, nothing soft, swollen or bent.",
                       critical=True),
             CheckLine("bolts", "Bolt, nut and washers: straight, thread whole, the nut runs on by hand.",
                       critical=True))),
)
