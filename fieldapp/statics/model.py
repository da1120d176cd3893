"""The whole frame made ready for statics: every strut's matrices once, for any number of stages."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.base.joints.joint import Joint
from fieldapp.base.materials import Material
from fieldapp.base.units import newton_from_kg
from fieldapp.frame.design import Design
from fieldapp.frame.frame import BoolArray, FloatArray, Frame, IntArray
from fieldapp.statics.capacity import ArmCapacity, arm_capacity
from fieldapp.statics.make import Make, Makes, makes_of, one_make, with_section
from fieldapp.statics.matrices import matrices
from fieldapp.statics.member import Axes, Members, axes


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """All struts of a frame, condensed to its n hubs, in frame axes [mm, N, rad].

    "Arm forces" are 12 numbers a strut: axial force, moment out of plane, moment in plane, at four
    stations: root and tube joint of the arm at end 1, root and tube joint of the arm at end 2.
    """

    hub_names: tuple[str, ...]
    strut_names: tuple[str, ...]
    nodes_mm: FloatArray
    """(n, 3)"""
    outward: FloatArray
    """(n, 3) unit vectors, outside of each hub."""
    ends: IntArray
    """(m, 2)"""
    on_ground: BoolArray
    """(n,)"""
    makes: Makes
    axes: Axes
    members: Members
    stiffness: FloatArray
    """(m, 12, 12) in frame axes."""
    geometric_stiffness: FloatArray
    """(m, 12, 12) what one newton of tension in the strut adds."""
    weight_n: FloatArray
    """(m, 12) hub forces and moments for each strut's weight."""
    wind_n: FloatArray
    """(m, 12, 3) hub forces for a pressure of 1 N/mm² along frame x, y, z."""
    hub_weight_n: FloatArray
    """(n,) weight of each hub with all its arms."""
    arm_weight_n: float
    """Weight of one arm of a hub: counted with the strut that sits on it and then taken off its hub."""
    arm_per_displacement: FloatArray
    """(m, 12, 12) arm forces for hub displacements of the strut."""
    arm_per_weight: FloatArray
    """(m, 12) arm forces from the strut's own weight between fixed hubs."""
    arm_per_wind: FloatArray
    """(m, 12, 3) the same for a pressure of 1 N/mm² along frame x, y, z."""
    second_stiffness: FloatArray
    """(m, 12, 12) what the square of an axial force takes from the stiffness."""
    arm_per_geometric: FloatArray
    """(m, 12, 12) what one newton of tension in the strut adds to arm forces."""
    arm_per_second: FloatArray
    """(m, 12, 12) what the square of an axial force takes from them."""
    arm_capacity: FloatArray
    """(m, 12) design resistance at each of the 12 arm forces; infinite if none was given."""
    hub_index: dict[str, int] = field(repr=False)
    strut_index: dict[str, int] = field(repr=False)
    arm_lasting: float = 1.0
    """Share of `arm_capacity` that the weight alone may use for as long as the frame stands."""
    softer: "Model | None" = field(default=None, repr=False)
    """The same frame with E_mean / γ_M and G_mean / γ_M, for second order; None where no material is divided."""
    tube_weight_n_mm: FloatArray = field(default_factory=lambda: np.zeros(0), repr=False)
    """(m,) weight of each tube per length [N/mm]."""

    @property
    def make(self) -> Make:
        """The make of all struts.

        Raises
        ------
        StaticsError
            If they have more than one: ask `makes` for that of a strut.
        """
        if len(self.makes.each) > 1:
            raise StaticsError(f"struts of this frame have {len(self.makes.each)} sections; ask for that of each")
        return self.makes.each[0]

    @property
    def joint(self) -> Joint:
        """How struts are held: the same for all."""
        return self.makes.each[0].joint

    @property
    def reach_mm(self) -> float:
        """From a hub's centre to where tubes begin: the same for all [mm]."""
        return self.makes.each[0].reach_mm

    @property
    def pinned(self) -> bool:
        """True if no moment passes between struts and hubs."""
        return self.makes.each[0].pinned

    def make_at(self, strut: int) -> Make:
        """The make of one strut, by number."""
        return self.makes.each[int(self.makes.at[strut])]

    @property
    def dofs_per_hub(self) -> int:
        """Degrees of freedom per hub: 6, or 3 if all joints are pins."""
        return 3 if self.pinned else 6


def model(frame: Frame, design: Design) -> Model:
    """Make a frame ready for statics.

    Parameters
    ----------
    frame : Frame
        Hubs, struts and outsides.
    design : Design
        Sections, materials, joint, break tests, service class.

    Returns
    -------
    Model
        Computed once; any stage of the frame is solved from it.

    Raises
    ------
    StaticsError, DesignError
        If sizes, materials or tests of the design give no answer.
    """
    made, arms = makes_of(design, frame), [arm_capacity(with_section(design, name)) for name in frame.sections]
    borne, lasting = np.concatenate([arm_capacities(each, 1) for each in arms]), min(each.lasting for each in arms)

    def of(makes: Makes) -> Model:
        bare = bare_model(
            frame.nodes_mm, frame.ends, makes,
            outward=frame.outward,
            on_ground=np.array([hub.on_ground for hub in frame.hubs]),
            names=([hub.name for hub in frame.hubs], [strut.name for strut in frame.struts]),
        )
        return replace(bare, arm_capacity=borne[made.at], arm_lasting=lasting)

    softer = tuple(softened_make(each) for each in made.each)
    unchanged = all(a is b for a, b in zip(softer, made.each, strict=True))
    return of(made) if unchanged else replace(of(made), softer=of(Makes(softer, made.at)))


SECOND_ORDER_DIVIDED = frozenset(("timber", "plywood", "paper"))
"""Families whose mean moduli are divided by γ_M in second order; metals keep theirs (in no formula).
Source: EN 1995-1-1 2.4.1 (2), public copy; paper: our choice. Test: tests/statics/test_second_order.py"""


def softened_make(make: Make) -> Make:
    """The same make with design moduli, E_mean / γ_M and G_mean / γ_M; the very same where that divides nothing.

    Measured springs of joints are divided by the larger γ_M of what they join.

    Source: EN 1995-1-1 2.4.1 (2), public copy; springs: our choice. Test: tests/statics/test_second_order.py
    """
    arm, tube = (of.gamma_m if of.family in SECOND_ORDER_DIVIDED else 1.0
                 for of in (make.arm_material, make.tube_material))
    if arm == tube == 1.0:
        return make
    return replace(make, arm_material=_divided(make.arm_material, arm),
                   tube_material=_divided(make.tube_material, tube),
                   stiffness_out_nmm_rad=make.stiffness_out_nmm_rad / max(arm, tube),
                   stiffness_in_nmm_rad=make.stiffness_in_nmm_rad / max(arm, tube))


def _divided(of: Material, gamma_m: float) -> Material:
    """The material with E and G divided; E_05 stays, which is a value for single struts."""
    return replace(of, youngs_modulus_mpa=of.youngs_modulus_mpa / gamma_m,
                   shear_modulus_mpa=of.shear_modulus_mpa / gamma_m)


def arm_capacities(capacity: ArmCapacity, struts: int) -> FloatArray:
    """(struts, 12) design resistance at the 12 arm forces: the same at root and joint of both ends.

    Source: (S11). Test: tests/plan/test_stages.py
    """
    return np.tile([capacity.axial_n, capacity.out_nmm, capacity.in_nmm], (struts, 4))


def bare_model(nodes_mm: FloatArray, ends: IntArray, make: Make | Makes, *, outward: FloatArray, on_ground: BoolArray,
               names: tuple[Sequence[str], Sequence[str]] | None = None) -> Model:
    """A model from plain arrays, arms of infinite resistance; see `Model` for shapes. Names default to H01 …, S001 …"""
    hubs, struts = names or ([f"H{i + 1:02d}" for i in range(len(nodes_mm))],
                             [f"S{i + 1:03d}" for i in range(len(ends))])
    makes = make if isinstance(make, Makes) else one_make(make, len(ends))
    hub_made = makes.each[0]                    # of the hub and its own arms all makes say the same
    at = axes(nodes_mm, outward, ends, hinged=hub_made.pinned)
    of_hub = not hub_made.joint.member.rigid and hub_made.joint.member.arm_of == "hub"
    return Model(
        tuple(hubs), tuple(struts), nodes_mm, outward, ends, on_ground, makes, at,
        hub_weight_n=np.full(len(nodes_mm), newton_from_kg(hub_made.hub_mass_kg)),
        arm_weight_n=hub_made.arm_weight_n_mm * hub_made.reach_mm if of_hub else 0.0,
        arm_capacity=np.full((len(ends), 12), np.inf),
        hub_index={name: i for i, name in enumerate(hubs)},
        strut_index={name: i for i, name in enumerate(struts)},
        tube_weight_n_mm=makes.per_strut(lambda each: each.tube_weight_n_mm),
        **vars(matrices(makes, at)),
    )
