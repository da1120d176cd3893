"""A strut between two hubs: arm – tube – arm in one line, condensed exactly to its two hubs.

Everything here is in the strut's own axes: x from end 1 to end 2, z the outside of hub 1 seen
square to the strut, y = z × x. Each arm is flat to its own hub: the arm at end 2 is turned about x by
`twist_rad`, the angle between the two hubs' outsides.
"""

from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.statics import beam
from fieldapp.statics.make import Make
from fieldapp.statics.wind_forces import arm_breadth_mm


@dataclass(frozen=True, slots=True)
class Axes:
    """Where each strut lies and how its arms are turned."""

    length_mm: FloatArray
    """(m,) hub centre to hub centre."""
    local: FloatArray
    """(m, 3, 3) rows x, y, z of each strut in frame axes."""
    twist_rad: FloatArray
    """(m,) turn of the arm at end 2 against the arm at end 1."""

    def at(self, struts: IntArray) -> "Axes":
        """Of some struts, by number."""
        return Axes(self.length_mm[struts], self.local[struts], self.twist_rad[struts])


def axes(nodes_mm: FloatArray, outward: FloatArray, ends: IntArray, *, hinged: bool = False) -> Axes:
    """Local axes of every strut; of hinged ones that stand straight out of a hub any will do, for nothing bends there.

    Source: (S1). Test: tests/statics/test_response.py, tests/reference/test_pynite.py

    Raises
    ------
    StaticsError
        If a strut has no length or stands straight out of a hub.
    """
    along = nodes_mm[ends[:, 1]] - nodes_mm[ends[:, 0]]
    length = np.linalg.norm(along, axis=1)
    if not np.all(length > 0):
        raise StaticsError(f"strut number {int(np.argmin(length)) + 1} has no length: its two hubs lie in one point")
    x = along / length[:, None]
    z_1, z_2 = (_square_to(x, _aside(x, outward[ends[:, end]]) if hinged else outward[ends[:, end]]) for end in (0, 1))
    y = np.cross(z_1, x)
    twist = np.arctan2(-np.einsum("ma,ma->m", z_2, y), np.einsum("ma,ma->m", z_2, z_1))
    return Axes(length, np.stack((x, y, z_1), axis=1), twist)  # (strut, own axis, frame axis)


def _aside(x: FloatArray, outward: FloatArray) -> FloatArray:
    """Outsides, but for struts along them the frame axis that lies most across the strut."""
    along = np.abs(np.einsum("ma,ma->m", x, outward)) > 1.0 - 1e-9
    return np.where(along[:, None], np.eye(3)[np.abs(x).argmin(axis=1)], outward)


def _square_to(x: FloatArray, outward: FloatArray) -> FloatArray:
    """Outside of a hub, made square to the strut and of length one."""
    z = outward - np.einsum("ma,ma->m", x, outward)[:, None] * x
    size = np.linalg.norm(z, axis=1)
    if not np.all(size > 1e-6):
        raise StaticsError(f"strut number {int(np.argmin(size)) + 1} stands straight out of its hub; "
                           f"an arm must lie across the hub's outside direction")
    return np.asarray(z / size[:, None])


@dataclass(frozen=True, slots=True)
class Members:
    """Every strut condensed to its two hubs, in its own axes; first index is the strut."""

    stiffness: FloatArray
    """(m, 12, 12): translations and rotations of hub 1, then of hub 2."""
    geometric_stiffness: FloatArray
    """(m, 12, 12): what one newton of tension adds."""
    second_stiffness: FloatArray
    """(m, 12, 12): what the square of an axial force takes, because inner points give way to it."""
    weight: FloatArray
    """(m, 12, 3): hub forces for the strut's weight if gravity pulled along +x, +y, +z."""
    wind: FloatArray
    """(m, 12, 3): hub forces for a pressure of 1 N/mm² on the full breadth along +x, +y, +z."""
    buckling_n: FloatArray
    """(m,) compression at which a strut buckles between hubs that do not move, with the 5 % modulus."""
    joint_deflection: FloatArray
    """(m, 4, 12): how far the tube's joint moves along y and z beyond hub 1, then beyond hub 2, for hub movements."""
    second_deflection: FloatArray
    """(m, 4, 12): how much less far per newton of tension."""


@dataclass(slots=True)
class _Chain:
    """The uncondensed strut: 12 hub degrees of freedom first, inner ones behind."""

    stiffness: FloatArray
    geometric: FloatArray
    weight: FloatArray
    wind: FloatArray

    def add(self, dofs: IntArray, parts: "Parts", loads: tuple[float, float]) -> None:
        """Add one beam: its dofs, (stiffness, geometric stiffness, unit load), (weight, breadth) per length."""
        stiffness, geometric, load = parts
        square = np.ix_(np.arange(len(stiffness)), dofs, dofs)
        self.stiffness[square] += stiffness
        self.geometric[square] += geometric
        self.weight[:, dofs] += loads[0] * load
        self.wind[:, dofs] += loads[1] * load


def members(make: Make, at: Axes) -> Members:
    """Condense every strut to its hubs.

    Parameters
    ----------
    make : Make
        Sections, materials, reach and joint, the same for all struts.
    at : Axes
        Lengths, axes and twists of m struts.

    Returns
    -------
    Members
        Stiffness and loads at the hubs, exact for prismatic beams; the geometric stiffness is
        condensed with the elastic shape (Guyan), exact to first order in the axial force.

    Raises
    ------
    StaticsError
        If a strut is too short for the reach at both ends.
    """
    tube_mm = at.length_mm - 2 * make.reach_mm
    if not np.all(tube_mm > 0):
        raise StaticsError(f"strut number {int(np.argmin(tube_mm)) + 1} is {float(at.length_mm.min()):.0f} mm long "
                           f"between hub centres; it must be longer than twice the reach ({make.reach_mm:g} mm)")
    return _condensed(_chain(make, at), make)


def _empty(count: int, dofs: int) -> _Chain:
    """A chain without beams."""
    # (strut, dof, dof) twice, (strut, dof, direction of the load) twice
    return _Chain(np.zeros((count, dofs, dofs)), np.zeros((count, dofs, dofs)),
                  np.zeros((count, dofs, 3)), np.zeros((count, dofs, 3)))


Parts = tuple[FloatArray, FloatArray, FloatArray]
"""Stiffness, geometric stiffness and unit load of m beams."""


def _half_tube(make: Make, tube_mm: FloatArray) -> Parts:
    """One half of each tube: two beams a tube find its buckling at most 1.3 % too high."""
    half = tube_mm / 2
    return (beam.beam_stiffness(make.tube, make.tube_material, half), beam.beam_geometric_stiffness(half),
            beam.beam_load(half))


def _arm_parts(make: Make, twist_rad: FloatArray) -> Parts:
    """Arms rotated by the twist."""
    length = np.full(len(twist_rad), make.reach_mm)
    return (beam.rotated(beam.beam_stiffness(make.arm, make.arm_material, length), twist_rad),
            beam.beam_geometric_stiffness(length), beam.beam_load(length))


def _tube_loads(make: Make) -> tuple[float, float]:
    """Weight and breadth of the tube per length."""
    return make.tube_weight_n_mm, make.tube.wind_width_mm


def _chain(make: Make, at: Axes) -> _Chain:
    """Hub 1 – (springs –) arm or rigid link – tube – the same – (springs –) hub 2, as `make.joint.member` says.

    Behind a spring the strut shares the hub's translations and its rotation about the strut; the two
    bending rotations are its own (degrees of freedom 12, 13 at end 1 and 14, 15 at end 2).
    """
    member = make.joint.member
    first, last, inner = (np.r_[0:4, 12:14], np.r_[6:10, 14:16], 16) if member.springs else \
        (np.arange(6), np.arange(6, 12), 12)
    chain = _empty(len(at.length_mm), inner + (6 if member.rigid else 18))
    (_add_linked_tube if member.rigid else _add_arm_tube_arm)(chain, make, at, (first, last, inner))
    if member.springs:
        for hub, own, twist in ((4, 12, 0 * at.twist_rad), (10, 14, at.twist_rad)):
            _add_springs(chain, make, (hub, own), twist)
    return chain


def _add_arm_tube_arm(chain: _Chain, make: Make, at: Axes, dofs: tuple[IntArray, IntArray, int]) -> None:
    """Arm, half tube, half tube, arm; inside are the two arm–tube joints and the tube's middle."""
    first, last, inner = dofs
    joint_1, middle, joint_2 = (np.arange(inner + i, inner + i + 6) for i in (0, 6, 12))
    arm_loads = make.arm_weight_n_mm, arm_breadth_mm(make)
    half = _half_tube(make, at.length_mm - 2 * make.reach_mm)
    chain.add(np.r_[first, joint_1], _arm_parts(make, 0 * at.twist_rad), arm_loads)
    chain.add(np.r_[joint_1, middle], half, _tube_loads(make))
    chain.add(np.r_[middle, joint_2], half, _tube_loads(make))
    chain.add(np.r_[joint_2, last], _arm_parts(make, at.twist_rad), arm_loads)


def _add_linked_tube(chain: _Chain, make: Make, at: Axes, dofs: tuple[IntArray, IntArray, int]) -> None:
    """Rigid link, half tube, half tube, rigid link; inside is the tube's middle."""
    first, last, inner = dofs
    middle, half = np.arange(inner, inner + 6), _half_tube(make, at.length_mm - 2 * make.reach_mm)
    chain.add(np.r_[first, middle], _linked(half, make.reach_mm, 0.0), _tube_loads(make))
    chain.add(np.r_[middle, last], _linked(half, 0.0, make.reach_mm), _tube_loads(make))


def _linked(parts: Parts, start_mm: float, stop_mm: float) -> Parts:
    """Beams with rigid links at their ends; a link under tension resists turning by force × length.

    Source: (S3). Test: tests/reference/test_logan_4ed.py, tests/statics/test_response.py
    """
    stiffness, geometric, load = parts
    link = beam.offset(start_mm, stop_mm, len(stiffness))
    transpose = link.transpose(0, 2, 1)  # (beam, dof beyond the link, dof of the beam)
    g: FloatArray = transpose @ geometric @ link
    for rotation, length in ((4, start_mm), (5, start_mm), (10, stop_mm), (11, stop_mm)):
        g[:, rotation, rotation] += length
    return transpose @ stiffness @ link, g, transpose @ load


def _add_springs(chain: _Chain, make: Make, dofs: tuple[int, int], twist_rad: FloatArray) -> None:
    """Rotational springs between a hub's and the strut's bending rotations, in the arm's axes.

    Source: (S5). Test: tests/statics/test_response.py, tests/statics/test_stiffness.py
    """
    rotation = beam.rotation_about_x(twist_rad)[:, 1:, 1:]
    # (strut, bending rotation, bending rotation)
    spring = rotation.transpose(0, 2, 1) @ np.diag((make.stiffness_out_nmm_rad, make.stiffness_in_nmm_rad)) @ rotation
    for i in dofs:
        for j in dofs:
            chain.stiffness[:, i:i + 2, j:j + 2] += spring if i == j else -spring


def _condensed(chain: _Chain, make: Make) -> Members:
    """Take the inner degrees of freedom out, exactly for stiffness and load.

    Source: (S4). Test: tests/reference/test_pynite.py, tests/statics/test_response.py
    """
    hub, inner = slice(0, 12), slice(12, None)
    shape = -np.linalg.solve(chain.stiffness[:, inner, inner], chain.stiffness[:, inner, hub])
    # (strut, hub dof, chain dof)
    onto = np.concatenate((np.tile(np.eye(12), (len(shape), 1, 1)), shape), axis=1).transpose(0, 2, 1)
    k = chain.stiffness[:, hub, hub] + chain.stiffness[:, hub, inner] @ shape
    across = (chain.geometric @ onto.transpose(0, 2, 1))[:, inner]  # (strut, inner dof, hub dof)
    yielding = np.linalg.solve(chain.stiffness[:, inner, inner], across)
    joints = _joint_deflections(make, chain.stiffness.shape[1])
    return Members(  # (strut, hub dof, hub dof) twice, (strut, hub dof, direction of the load) twice, (strut)
        stiffness=(k + k.transpose(0, 2, 1)) / 2,
        geometric_stiffness=onto @ chain.geometric @ onto.transpose(0, 2, 1),
        second_stiffness=across.transpose(0, 2, 1) @ yielding,
        weight=onto @ chain.weight,
        wind=onto @ chain.wind,
        buckling_n=_buckling_n(chain.stiffness[:, inner, inner], chain.geometric[:, inner, inner], make),
        joint_deflection=joints @ onto.transpose(0, 2, 1),
        second_deflection=joints[:, inner] @ yielding,
    )


def middle_loads(make: Make, at: Axes) -> FloatArray:
    """(m, 12, 3) hub forces that replace 1 N at each tube's middle along its own x, y, z: fixed-end forces, condensed.

    Source: (S4). Test: tests/statics/test_middle.py, tests/reference/test_pynite_forgives.py
    """
    chain = _chain(make, at)
    # (strut, inner dof, hub dof)
    shape = -np.linalg.solve(chain.stiffness[:, 12:, 12:], chain.stiffness[:, 12:, :12])
    middle = (4 if make.joint.member.springs else 0) + (0 if make.joint.member.rigid else 6)
    return np.asarray(shape[:, middle:middle + 3].transpose(0, 2, 1))  # (strut, hub dof, direction of the load)


def _buckling_n(stiffness: FloatArray, geometric: FloatArray, make: Make) -> FloatArray:
    """Smallest compression that makes the inner degrees of freedom unstable, (m,) [N]; the weaker of the 5 % moduli.

    Source: (S6): EN 1995-1-1 6.3 with E_0,05. Test: tests/statics/test_response.py
    """
    softening = np.linalg.eigvals(np.linalg.solve(stiffness, geometric)).real.max(axis=1)
    weaker = min(of.youngs_modulus_05_mpa / of.youngs_modulus_mpa for of in (make.arm_material, make.tube_material))
    return np.asarray(min(weaker, 1.0) / (softening * MISS_OF_TWO_CUBICS))


MISS_OF_TWO_CUBICS = 40.0 / (4.0 * np.pi**2)
"""Buckling load of a clamped beam of two cubics, 40 E I / l², over the true 4 π² E I / l² [1].
Source: (S6). Test: tests/statics/test_response.py"""


def _joint_deflections(make: Make, dofs: int) -> FloatArray:
    """(4, dofs) from the chain's movements to how far a tube's joint lies beyond its hub along y, z, at both ends.

    Source: (S28). Test: tests/statics/test_second_order.py
    """
    rows, springs = np.zeros((4, dofs)), make.joint.member.springs
    if make.joint.member.rigid:
        for row, (turn, own, sign) in enumerate(((5, 13, 1.0), (4, 12, -1.0), (11, 15, -1.0), (10, 14, 1.0))):
            rows[row, own if springs else turn] = sign * make.reach_mm
        return rows
    inner = 16 if springs else 12
    for row, (joint, hub) in enumerate(((1, 1), (2, 2), (13, 7), (14, 8))):
        rows[row, inner + joint], rows[row, hub] = 1.0, -1.0
    return rows
