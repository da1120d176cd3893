"""What struts and hub arms are made of, read from the design once: sections, materials, joint."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.base.joints import JOINTS
from fieldapp.base.joints.joint import ArmSizes, Joint
from fieldapp.base.materials import Material, material
from fieldapp.base.sections import Section, rod, tube
from fieldapp.base.units import kg_per_mm3, newton_from_kg, nmm_from_nm
from fieldapp.frame.design import Design
from fieldapp.frame.frame import FloatArray, Frame, IntArray
from fieldapp.frame.struts import END_SIZES
from fieldapp.statics.strut_tests import tested_material


@dataclass(frozen=True, slots=True)
class Make:
    """One kind of strut on one kind of hub.

    How it is built between two hub centres says `joint.member`: rotational springs at the hub centre or
    none, then an arm or a rigid link up to `reach_mm`, then the tube. Springs of 0 both ways make a pin:
    the hub then has no rotations.
    """

    joint: Joint
    reach_mm: float
    arm: Section
    arm_material: Material
    tube: Section
    tube_material: Material
    hub_mass_kg: float
    """Whole hub with its arms, as weighed."""
    stiffness_out_nmm_rad: float = 0.0
    stiffness_in_nmm_rad: float = 0.0
    arm_strength_mpa: float | None = None
    """The maker's own design strength of the arm; None means characteristic × k_mod / γ_M."""

    @property
    def pinned(self) -> bool:
        """True if no moment passes between strut and hub."""
        return self.joint.member.springs and self.stiffness_out_nmm_rad == 0 == self.stiffness_in_nmm_rad

    @property
    def tube_weight_n_mm(self) -> float:
        """Weight of the tube per length [N/mm]."""
        return _weight_n_mm(self.tube_material, self.tube)

    @property
    def arm_weight_n_mm(self) -> float:
        """Weight per length between hub centre and tube [N/mm]; part of the hub's mass where the arm is the hub's."""
        if self.joint.member.rigid:
            return 0.0
        return self.tube_weight_n_mm if self.joint.member.arm_of == "strut" else \
            _weight_n_mm(self.arm_material, self.arm)


@dataclass(frozen=True, slots=True, eq=False)
class Makes:
    """The makes of m struts: they differ in their tubes, and in arms that are the tubes' own ends."""

    each: tuple[Make, ...]
    at: IntArray
    """(m,) which of `each` a strut is."""

    def rows(self) -> Iterator[tuple[Make, IntArray]]:
        """Every make that some strut has, with the numbers of its struts."""
        for number, make in enumerate(self.each):
            yield make, np.flatnonzero(self.at == number)

    def per_strut(self, of: Callable[[Make], float]) -> FloatArray:
        """(m,) one number of each strut's make."""
        return np.array([of(make) for make in self.each], dtype=float)[self.at]


def one_make(make: Make, struts: int) -> Makes:
    """All struts alike."""
    return Makes((make,), np.zeros(struts, dtype=np.int64))


def makes_of(design: Design, frame: Frame) -> Makes:
    """The makes of a frame's struts, each by its section; see `make_of`."""
    numbers = {name: number for number, name in enumerate(frame.sections)}
    return Makes(tuple(make_of(with_section(design, name)) for name in frame.sections),
                 np.array([numbers[name] for name in frame.section_of], dtype=np.int64))


def with_section(design: Design, name: str) -> Design:
    """The design as if all its struts were of this section, with their own ends and the pull tests of its joints.

    Struts that were broken on two supports were those of [strut], and say nothing of another section; nor do ends that
    are the struts' own. Each has its own tests or none.
    """
    if not name:
        return design
    of = design.section(name)
    own = {"pull_test_n": getattr(of, "pull_test_n", ())} | {
        key: size for key in END_SIZES if (size := getattr(of, key, None)) is not None}
    if design.hub.held_by.member.arm_of == "strut":
        own |= {key: getattr(of, key, unknown) for key, unknown in (("test_loads_n", ()), ("test_lever_mm", None))}
    return design.model_copy(update={
        "strut": of, "hub": design.hub.model_copy(update=own),
        "strength": design.strength.model_copy(update={
            key: getattr(of, key, unknown) for key, unknown in (("strut_loads_n", ()), ("strut_span_mm", None))})})


def _weight_n_mm(of: Material, section: Section) -> float:
    """Weight per length of a section [N/mm]."""
    return newton_from_kg(kg_per_mm3(of.density_kg_m3) * section.area_mm2)


def make_of(design: Design) -> Make:
    """Sections, materials and joint as the design file gives them.

    Raises
    ------
    StaticsError
        For a size, modulus or density that is not above zero.
    DesignError
        For a material that is not in the table.
    """
    hub, joint = design.hub, design.hub.held_by
    tube_material = strut_material(design)
    made = Make(
        joint=joint,
        reach_mm=hub.reach_mm,
        arm=joint.member.section(ArmSizes(hub.ply_mm, hub.arm_depth_mm, hub.plies, design.strut.outer_mm,
                                          design.strut.wall_mm)),
        arm_material=tube_material if joint.member.arm_of == "strut" else hub_material(design),
        tube=strut_section(design),
        tube_material=tube_material,
        hub_mass_kg=hub.mass_kg,
        stiffness_out_nmm_rad=nmm_from_nm(hub.stiffness_out_nm_rad or 0.0),
        stiffness_in_nmm_rad=nmm_from_nm(hub.stiffness_in_nm_rad or 0.0),
        arm_strength_mpa=hub.design_strength_mpa,
    )
    _check(made)
    return made


def strut_section(design: Design) -> Section:
    """Cross-section of the struts."""
    strut = design.strut
    if strut.section == "rod":
        return rod(strut.outer_mm)
    if strut.wall_mm is None:
        raise StaticsError("strut.wall_mm is missing; a tube needs its wall thickness in mm "
                           "(for a solid pole write section = \"rod\")")
    return tube(strut.outer_mm, strut.wall_mm)


def strut_material(design: Design) -> Material:
    """Material of the struts with the maker's own values, and what break tests say of it."""
    strut = design.strut
    own = material(strut.material).with_own_values(
        strut.youngs_modulus_mpa, strut.shear_modulus_mpa, strut.density_kg_m3,
        bending_mpa=strut.bending_strength_mpa, compression_mpa=strut.compression_strength_mpa,
    )
    return tested_material(design, own, strut_section(design))


def hub_material(design: Design) -> Material:
    """Material of the hub arms with the maker's own values."""
    hub = design.hub
    return material(hub.material).with_own_values(hub.youngs_modulus_mpa, hub.shear_modulus_mpa, hub.density_kg_m3)


def _check(made: Make) -> None:
    """Refuse values with which nothing can be computed."""
    for part, of in (("strut", made.tube_material), ("hub", made.arm_material)):
        for name in ("youngs_modulus_mpa", "shear_modulus_mpa", "density_kg_m3", "bending_mpa", "compression_mpa"):
            if not getattr(of, name) > 0:
                raise StaticsError(f"{part} material '{of.name}': {name} must be above 0, got "
                                   f"{getattr(of, name):g}; give your own value in [{part}] of the design file")
    if made.hub_mass_kg < 0 or made.reach_mm < 0:
        raise StaticsError(f"hub.mass_kg and hub.reach_mm must not be negative, got {made.hub_mass_kg:g} kg "
                           f"and {made.reach_mm:g} mm")
    if not made.joint.member.rigid and made.reach_mm == 0:
        meet = " or ".join(f"joint = \"{kind}\"" for kind, joint in JOINTS.items() if joint.member.rigid)
        raise StaticsError(f"hub.reach_mm must be above 0 for joint \"{made.joint.kind}\", got 0; "
                           f"for tubes that meet at the hub centre write {meet}")
    if min(made.stiffness_out_nmm_rad, made.stiffness_in_nmm_rad) < 0:
        raise StaticsError("hub.stiffness_out_nm_rad and hub.stiffness_in_nm_rad must not be negative; 0 is a pin")
