"""The design: what the maker answered in `design.toml`, as frozen records.

Every field carries the question a maker is asked (`frame.template` writes it above the key) and the
advice that ends a message about a wrong answer (`frame.design_file` reads and checks). What two
answers demand of each other stands in `frame.design_rules`.

A default is what a file without that line has meant from the first version on. It stays, so that no old file changes
its meaning; what `raisebook new` writes stands in `frame.template`.
"""

from typing import Literal

from fieldapp.base.constants import STANDING_PUSH_N
from fieldapp.base.duration import Stands
from fieldapp.base.joints import HOW_HELD, JOINTS, WITH_SPRINGS, WITHOUT_SPRINGS, JointKind
from fieldapp.base.joints.joint import Joint
from fieldapp.frame.given.record import GivenLines
from fieldapp.frame.given.section import DrawingSection
from fieldapp.frame.ground import GroundSection
from fieldapp.frame.questions import ON_ONE_LINE, DesignSection, HubName, PositiveNumber, ask
from fieldapp.frame.site import SiteSection
from fieldapp.frame.strength import StrengthSection
from fieldapp.frame.struts import NamedStrut, StrutSection
from fieldapp.frame.vault import VaultSection

Way = Literal["recommended", "ring by ring", "level by level", "bay by bay", "crown first", "crown set on last",
              "wedge by wedge", "own order"]


class FrameSection(DesignSection):
    """[frame]: the shape."""

    name: str = ask(
        "My frame", "What is the frame called? Printed on labels and pages.",
        "Give it a short name without line breaks.", min_length=1, max_length=60, pattern=ON_ONE_LINE)
    prefix: str = ask(
        "MF", "Which two or three capital letters begin every part ID of this kit? They can never change later.",
        "Choose letters that no other kit in your store uses.", pattern=r"^[A-Z]{2,3}$")
    file: str | None = ask(
        None, "Was it drawn elsewhere? Then its file beside this one; [drawing] asks how to read it, and answers from "
        "here to longest_strut_m are not read.", "Give the name of a file in .csv, .dxf, .obj or .stl.",
        example="frame.csv", min_length=1, max_length=100, pattern=r"^[^/\\]+$")
    shape: Literal["sphere", "barrel vault"] = ask(
        "sphere", "Which shape, if it is not from a file: part of a sphere, or a barrel vault of triangles? The vault "
        "has its own section, and answers from here to longest_strut_m are not read.", "Keep \"sphere\" for a dome.")
    frequency: int = ask(
        3, "How many struts lie along one edge of the icosahedron? More means rounder, and more parts.",
        "Choose the number of struts along one edge of the icosahedron.", ge=1, le=16)
    subdivision: Literal["equal chords", "equal arcs"] = ask(
        "equal chords", "How is that edge divided: into equal chords or into equal arcs?",
        "Keep \"equal chords\" unless you follow a drawing made with arcs.")
    cut: str = ask(
        "5/9", "How much of the sphere stands? 1/2 is half of it, 5/9 a little more.",
        "Write a fraction that the frequency offers.")
    level_base: bool = ask(
        True, "Shall all ground hubs lie in one plane? If not, they lie a little higher and lower in turn.",
        "Write true for a level floor.")
    diameter_m: float | None = ask(
        None, "How big is it? Answer exactly one of these three. Diameter of the sphere through the hub centres [m]",
        "Give metres, for example 6.4.", example=6.4, ge=0.2, le=100.0)
    height_m: float | None = ask(
        None, "… or the height of the top hub's centre above the ground hubs [m]",
        "Give metres, for example 3.8.", example=3.8, ge=0.1, le=100.0)
    longest_strut_m: float | None = ask(
        None, "… or the longest piece you want to saw [m]",
        "Give metres, for example 1.2.", example=1.2, ge=0.05, le=20.0)
    tolerance_mm: float = ask(
        0.5, "Struts that differ by no more than this count as one class [mm]",
        "Give the precision of your saw, for example 0.5.", gt=0.0, le=20.0)
    tolerance_deg: float = ask(
        0.05, "Hubs whose arms differ by no more than this count as one class [degrees]",
        "Give the precision of your hub drawings, for example 0.05.", gt=0.0, le=5.0)
    doorway: bool = ask(
        False, "Leave a doorway open at the front mark, if the frame stands with it?", "Write true for a doorway.")


class HubSection(DesignSection):
    """[hub]: how hubs hold their struts."""

    joint: JointKind = ask("flat arm", f"How is a strut held: {HOW_HELD}?", "The usual sheet hub is a \"flat arm\".")
    material: str = ask(
        "birch plywood 12", "What are the hubs made of?",
        "Choose the nearest material and give your own values below it.")
    reach_mm: float = ask(
        95.0, "Distance from the hub's centre to the end of the strut [mm]",
        "Measure on a hub with a strut pushed home.", ge=0.0, le=2000.0)
    plies: int = ask(1, "How many layers of sheet lie on each other in an arm?", "Count the layers.", ge=1, le=20)
    ply_mm: float = ask(12.0, "Thickness of one layer [mm]", "Measure one sheet.", gt=0.0, le=100.0)
    arm_depth_mm: float = ask(
        45.0, "Width of an arm, measured in the plane of the sheet [mm]",
        "Measure the narrowest place of an arm.", gt=0.0, le=1000.0)
    mass_kg: float = ask(0.42, "Mass of one hub [kg]", "Weigh one, or an offcut of the same size.", gt=0.0, le=100.0)
    angle_error_deg: float = ask(
        0.5, "By how much may an arm point past its direction? [degrees]",
        "Check three hubs against the drawing.", ge=0.0, le=20.0)
    youngs_modulus_mpa: float | None = ask(
        None, "Own values beat the table. Stiffness E of the hub's material [N/mm²]",
        "Leave the line out to use the table.", example=6800.0, gt=0.0, le=1e6)
    shear_modulus_mpa: float | None = ask(
        None, "Shear stiffness G [N/mm²]", "Leave the line out to use the table.", example=620.0, gt=0.0, le=1e6)
    density_kg_m3: float | None = ask(
        None, "Density [kg/m³]", "Leave the line out to use the table.", example=680.0, gt=0.0, le=25000.0)
    design_strength_mpa: float | None = ask(
        None, "Bending stress that an arm may carry, all reductions made [N/mm²]",
        "Leave the line out unless an engineer gave you the value.", example=25.0, gt=0.0, le=5000.0)
    stiffness_out_nm_rad: float | None = ask(
        None,
        f"For {WITH_SPRINGS}: stiffness against tilting out of the surface [N m per radian], 0 for a hinge",
        f"Leave the line out for {WITHOUT_SPRINGS}.", example=0.0, ge=0.0, le=1e9)
    stiffness_in_nm_rad: float | None = ask(
        None,
        f"For {WITH_SPRINGS}: stiffness against turning in the surface [N m per radian], 0 for a hinge",
        f"Leave the line out for {WITHOUT_SPRINGS}.", example=0.0, ge=0.0, le=1e9)
    hole_mm: float | None = ask(
        None, "Bolted ends: diameter of the hole for the bolt [mm]", "Leave the line out where nothing is bolted.",
        example=8.5, gt=0.0, le=100.0)
    test_lever_mm: float | None = ask(
        None, "Break tests: how far from the arm's root did the load hang? [mm]",
        "Measure from where the arm leaves the hub.", example=600.0, gt=0.0, le=10000.0)
    test_loads_n: tuple[PositiveNumber, ...] = ask(
        (), "Break tests: at which loads did the arms break? [N] (1 kg hangs with 9.81 N)",
        "List one number above zero for each arm you broke, for example [118, 131, 124].", example=[118, 131, 124])
    test_scatter: float | None = ask(
        None, "Scatter of such tests, if you know it beforehand (standard deviation over mean)",
        "Leave the line out if you do not know it.", example=0.15, gt=0.0, le=1.0)
    pull_test_n: tuple[PositiveNumber, ...] = ask(
        (), "Pull tests of joints, pinned as on site: at which pulls along the strut did they come apart? [N]",
        "List one number above zero for each. Without a test nobody knows what a joint holds: a dry plug that is not "
        "pinned counts for nothing.", example=[620, 700, 655])

    @property
    def held_by(self) -> Joint:
        """All in which this kind of joint differs from others."""
        return JOINTS[self.joint]


class SparesSection(DesignSection):
    """[spares]: parts made for no place."""

    hubs_most_common: int = ask(0, "How many spare hubs of the class that occurs most?", "Count them.", ge=0, le=1000)
    hubs_each_other: int = ask(0, "How many spare hubs of each other class?", "Count them.", ge=0, le=1000)
    struts_each: int = ask(0, "How many spare struts of each class?", "Count them.", ge=0, le=1000)


class CrewSection(DesignSection):
    """[crew]: who raises it, with what."""

    people: int = ask(8, "How many people build?", "Count who is there all the time.", ge=1, le=1000)
    lifters: int = ask(0, "How many of them may lift heavy things?", "Count them.", ge=0, le=1000)
    teams: int = ask(1, "In how many teams do they work at the same time?", "Count them.", ge=1, le=50)
    platform_m: float | None = ask(
        None, "Standing height of the highest platform or scaffold [m]",
        "Leave the line out if there is none.", example=1.9, gt=0.0, le=50.0)
    ladder_m: float | None = ask(
        None, "Standing height on the step ladders, with the rungs on which nobody stands left off [m]",
        "Leave the line out if there are none.", example=1.2, gt=0.0, le=50.0)
    grip_m: float | None = ask(
        None, "How high can the smallest of them reach with a whole hand, in shoes? [m]",
        "Leave the line out to use the published 5th percentile.", example=1.865, ge=1.0, le=3.0)
    push_n: float = ask(
        STANDING_PUSH_N, "With what force might somebody push a part by mistake? [N]",
        "110 N is a standing person with arms stretched.", ge=0.0, le=2000.0)
    minutes_per_step: float = ask(
        4.0, "How many minutes for a hub with its struts?", "Time a few at the trial raise.", gt=0.0, le=600.0)


class RaisingSection(DesignSection):
    """[raising]: the way of raising and the conditions it is judged for."""

    way: Way = ask(
        "recommended", "In which way is it raised?", "Keep \"recommended\" to take the computed best.")
    own_order: tuple[HubName, ...] = ask(
        (), "Own order: hub places one after the other", "List every hub place once, for example [\"H01\", \"H02\"].",
        example=["H01", "H02"])
    accept_breaking: bool = ask(
        False, "May a way be chosen in which arms are computed to break?", "Keep false unless you know why.")
    stands: Stands = ask(
        "weeks", "How long does it stand: hours, a weekend (a week at most), weeks (half a year at most), for good? "
        "The longer, the less wood and paper bear of their own weight.",
        "Choose the longer one if you do not know.")
    service_class: Literal[1, 2, 3] = ask(
        2, "How damp does it get: 1 indoors, 2 under a roof or in dry weather, 3 rain?",
        "Choose 3 if it may rain on it.")
    terrain: Literal["0", "I", "II", "III", "IV"] = ask(
        "II", "What lies around: 0 open sea, I lake or flat land, II meadow, III village or wood, IV city?",
        "Choose \"II\" for open country.")
    crown_piece_struts: int | None = ask(
        None, "Setting the top on last (the crown of a dome): how many struts may the piece have?",
        "Leave the line out to have it computed.", example=25, ge=3, le=8000)
    crown_carriers: int = ask(
        5, "A top that is lifted (the crown of a dome): at how many hubs, evenly spaced, is it carried?",
        "Count people or props that lift at the same time.", ge=3, le=200)
    insertion_depth_mm: float | None = ask(
        None, "How deep does an arm sit in the end of its strut? [mm]",
        "Measure on a strut pushed home. Leave the line out for half of hub.reach_mm.", example=45.0, ge=0.0, le=1000.0)
    leave_out: tuple[HubName, ...] = ask(
        (), "Hub places that stay empty, with their struts", "List hub places, for example [\"H22\"].", example=["H22"])


class LabelsSection(DesignSection):
    """[labels]: sheets, rolls, strips, tags and boxes, described in mm."""

    paper: Literal["A4", "Letter"] = ask("A4", "Which paper?", "Look at the packet.")
    columns: int = ask(2, "How many labels lie side by side?", "Count them.", ge=1, le=30)
    rows: int = ask(7, "How many lie one below the other?", "Count them.", ge=1, le=60)
    label_width_mm: float = ask(99.0, "Width of a label [mm]", "Measure one.", ge=10.0, le=300.0)
    label_height_mm: float = ask(38.0, "Height of a label [mm]", "Measure one.", ge=10.0, le=300.0)
    margin_left_mm: float = ask(
        4.5, "From the paper's left edge to the first label [mm]", "Measure it.", ge=0.0, le=100.0)
    margin_top_mm: float = ask(
        15.5, "From the paper's top edge to the first label [mm]", "Measure it.", ge=0.0, le=100.0)
    gap_x_mm: float = ask(3.0, "Gap between labels side by side [mm]", "Measure it.", ge=0.0, le=100.0)
    gap_y_mm: float = ask(0.0, "Gap between labels one below the other [mm]", "Measure it.", ge=0.0, le=100.0)
    scratch_resistant: bool = ask(
        False, "Will labels be scratched? Then symbols carry more repair data and smaller squares.",
        "Write true or false.")
    printer_dpi: int | None = ask(
        None, "Resolution of a thermal label printer [dots per inch]",
        "Leave the line out for an office printer.", example=300, ge=72, le=2400)
    roll_width_mm: float = ask(
        100.0, "Labels on a roll: width of a label, across the roll [mm]", "Measure one.", ge=10.0, le=300.0)
    roll_length_mm: float = ask(
        50.0, "Labels on a roll: length of a label, along the roll [mm]", "Measure one.", ge=10.0, le=1000.0)
    roll_gap_mm: float = ask(3.0, "Labels on a roll: gap between them [mm]", "Measure it.", ge=0.0, le=50.0)
    roll_strip: int = ask(
        1, "Labels on a roll: how many on one page of the file? 1 for labels that are cut already, more for strips "
        "that you cut", "Write 1 unless your roll has no gaps.", ge=1, le=100)
    wrap_width_mm: float = ask(
        90.0, "Strips that go round a strut: width along the strut [mm]. Their length comes from strut.outer_mm.",
        "Choose what the strut has room for.", ge=30.0, le=250.0)
    wrap_overlap_mm: float = ask(
        14.0, "Strips that go round a strut: how much closes over the start [mm]", "Choose 12 to 20.", ge=0.0, le=60.0)
    hub_label_mm: float = ask(
        90.0, "Round or hexagonal hub labels: width [mm]", "Measure the flat middle of a hub.", ge=40.0, le=190.0)
    tag_width_mm: float = ask(
        92.0, "Tags to tie on: width with the hole [mm]", "Choose what your card or pouch takes.", ge=40.0, le=190.0)
    tag_height_mm: float = ask(45.0, "Tags to tie on: height [mm]", "Choose the same way.", ge=15.0, le=250.0)
    box_width_mm: float = ask(
        92.0, "Labels of boxes, bundles and bags: width [mm]", "Choose what the box has room for.", ge=50.0, le=190.0)
    box_height_mm: float = ask(
        134.0, "Labels of boxes, bundles and bags: height [mm]", "Choose the same way.", ge=50.0, le=255.0)
    bundle_struts: int = ask(10, "How many struts make a bundle?", "Choose what one person carries.", ge=1, le=200)


class Design(DesignSection):
    """The whole design file."""

    frame: FrameSection = FrameSection()
    drawing: DrawingSection = DrawingSection()
    vault: VaultSection = VaultSection()
    strut: StrutSection = StrutSection()
    struts: tuple[NamedStrut, ...] = ()
    hub: HubSection = HubSection()
    strength: StrengthSection = StrengthSection()
    spares: SparesSection = SparesSection()
    crew: CrewSection = CrewSection()
    raising: RaisingSection = RaisingSection()
    ground: GroundSection = GroundSection()
    labels: LabelsSection = LabelsSection()
    site: SiteSection = SiteSection()
    given: GivenLines | None = None  # read from frame.file and kept with the kit, never written by hand

    def section(self, name: str) -> StrutSection:
        """What struts of a section are made of: [strut] for "", else [struts.NAME]; KeyError if there is none."""
        return {"": self.strut, **{of.name: of for of in self.struts}}[name]

    @property
    def used_sections(self) -> tuple[StrutSection, ...]:
        """Those that some strut has: [strut] first."""
        named = () if self.given is None else self.given.sections
        return tuple(self.section(name) for name in self.section_names if name in (named or ("",)))

    @property
    def joints_tested(self) -> tuple[bool, ...]:
        """For every section that some strut has, whether joints with it were pulled apart."""
        return tuple(bool(of.pull_test_n if isinstance(of, NamedStrut) else self.hub.pull_test_n)
                     for of in self.used_sections)

    @property
    def section_names(self) -> tuple[str, ...]:
        """"" for [strut], then the names of [struts.NAME]."""
        return ("", *(of.name for of in self.struts))
