"""Tubes between the arms: what they can take by their material's code, and how much of it is used.

Buckling length is the distance between hub centres (the arms are slenderer than the tube).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from functools import reduce
from typing import Any

import numpy as np

from fieldapp.base.duration import SHORTEST, lasting_share
from fieldapp.base.materials import Material
from fieldapp.base.sections import Section
from fieldapp.frame.design import Design
from fieldapp.frame.frame import BoolArray, FloatArray, IntArray
from fieldapp.statics.make import Make
from fieldapp.statics.model import Model
from fieldapp.statics.response import Response

IMPERFECTION_STEEL = 0.49
"""Imperfection factor of buckling curve c, cold-formed hollow sections [1].
Source: EN 1993-1-1 Tables 6.1 and 6.2, reproduced in public (6.3.1.2).
Test: tests/reference/test_tube_codes.py"""

IMPERFECTION_ALUMINIUM, PLATEAU_ALUMINIUM = 0.34, 0.0
"""Imperfection factor and plateau for aluminium [1].
Source: our choice: steel's curve b (EN 1993-1-1 Table 6.1) without a plateau, more careful than class A or B of
EN 1999-1-1 Table 6.6, which could not be read. Test: tests/reference/test_tube_codes.py"""

PLATEAU_STEEL = 0.2
"""Slenderness up to which steel does not buckle [1].
Source: EN 1993-1-1 6.3.1.2 (6.49), reproduced in public. Test: tests/reference/test_tube_codes.py"""

IMPERFECTION_TIMBER, PLATEAU_TIMBER = 0.2, 0.3
"""β_c and plateau of solid timber [1].
Source: EN 1995-1-1 (6.27) to (6.29), as in J. Porteous and A. Kermani, Structural Timber Design to Eurocode 5 (2007),
5.3.1. Test: tests/reference/test_tube_codes.py"""

SAMPLES = np.linspace(0.0, 1.0, 17)
"""Where along a tube the moment is taken [1]; misses at most 0.4 % of the free-span moment between two of them.
Source: our choice; q (l/16)² / 8 ÷ (q l² / 8) = 0.39 %. Test: tests/statics/test_response.py"""


@dataclass(frozen=True, slots=True, eq=False)
class LockedTubes:
    """What ill-fitting parts lock into the m tubes of a model, whatever its sign: on top of any load."""

    axial_n: FloatArray
    """(m,)"""
    moment_nmm: FloatArray
    """(m,) largest along the tube."""


@dataclass(frozen=True, slots=True, eq=False)
class TubeCapacity:
    """Design resistances of the m tubes of a model, each of its own section."""

    bending_nmm: FloatArray
    """(m,)"""
    tension_n: FloatArray
    """(m,)"""
    compression_n: FloatArray
    """(m,) with buckling."""
    critical_n: FloatArray
    """(m,) elastic (Euler) load at 5 % modulus."""
    amplifies: BoolArray
    """(m,) True if bending under compression is enlarged by 1/(1 − N/N_cr), false if k_c holds that already."""
    lasting: FloatArray
    """(m,) share of the resistances that the weight alone may use for as long as the frame stands."""
    locked: LockedTubes | None = None
    """What they carry already, in every use that is asked for."""

    @property
    def under_weight(self) -> "TubeCapacity":
        """What they can take of the weight alone."""
        return self.weakened(self.lasting)

    def weakened(self, share: float | FloatArray) -> "TubeCapacity":
        """The same with this share of the strength of every tube left; how stiff they are does not change."""
        return replace(self, bending_nmm=self.bending_nmm * share, tension_n=self.tension_n * share,
                       compression_n=self.compression_n * share)


def tube_capacity(model: Model, design: Design) -> TubeCapacity:
    """Design resistances of all struts' tubes under the raising's service class, short duration."""
    raising, makes = design.raising, model.makes
    each = [(numbers, tube_capacity_of(make, model.axes.length_mm[numbers], raising.service_class))
            for make, numbers in makes.rows()]
    order = np.argsort(np.concatenate([numbers for numbers, _ in each]), kind="stable")
    whole: dict[str, Any] = {of.name: np.concatenate([getattr(one, of.name) for _, one in each])[order]
                             for of in fields(TubeCapacity) if of.name != "locked"}
    return replace(TubeCapacity(**whole), lasting=makes.per_strut(
        lambda make: lasting_share(make.tube_material.family, raising.service_class, raising.stands)))


def tube_capacity_of(make: Make, length_mm: FloatArray, service_class: int) -> TubeCapacity:
    """The same from one make and buckling lengths, (m,) [mm]; nothing is taken off for how long the frame stands."""
    of, section = make.tube_material, make.tube
    factor = of.design_factor(service_class, SHORTEST)
    squash = of.compression_mpa * section.area_mm2
    critical = math.pi**2 * of.youngs_modulus_05_mpa * section.inertia_out_mm4 / length_mm**2
    return TubeCapacity(
        bending_nmm=np.full(len(length_mm), of.bending_mpa * section.modulus_out_mm3 * factor),
        tension_n=np.full(len(length_mm), of.tension_mpa * section.area_mm2 * factor),
        compression_n=buckling_factor(of, section, length_mm) * squash * factor,
        critical_n=critical,
        amplifies=np.full(len(length_mm), of.family != "timber"),
        lasting=np.ones(len(length_mm)),
    )


def buckling_factor(of: Material, section: Section, length_mm: FloatArray) -> FloatArray:
    """Part of the squash load that a slender tube keeps, by its material's code.

    Timber EN 1995-1-1 6.3.2, steel EN 1993-1-1 6.3.1, aluminium EN 1999-1-1 6.3.1; paper by Rankine,
    1/N = 1/N_squash + 1/N_Euler (common practice, no source).

    Source: (S18): EN 1995-1-1 6.3.2, EN 1993-1-1 6.3.1, EN 1999-1-1 6.3.1; paper common practice, no source.
    Test: tests/reference/test_tube_codes.py
    """
    euler = math.pi**2 * of.youngs_modulus_05_mpa * (section.gyration_mm / length_mm) ** 2
    slenderness = np.sqrt(of.compression_mpa / euler)
    if of.family == "paper":
        return np.asarray(1.0 / (1.0 + slenderness**2))
    imperfection, plateau = {
        "steel": (IMPERFECTION_STEEL, PLATEAU_STEEL),
        "aluminium": (IMPERFECTION_ALUMINIUM, PLATEAU_ALUMINIUM),
    }.get(of.family, (IMPERFECTION_TIMBER, PLATEAU_TIMBER))
    phi = 0.5 * (1 + imperfection * (slenderness - plateau) + slenderness**2)
    return np.asarray(np.minimum(1.0 / (phi + np.sqrt(phi**2 - slenderness**2)), 1.0))


def tube_moments_nmm(answer: Response) -> FloatArray:
    """(k, struts, 17, 2) bending moments along every tube about the strut's own y and z, at `SAMPLES`.

    Between its two joints a tube's moment is a straight line plus the parabola of the load across it, and the triangle
    of a force on its middle.

    Source: (S18). Test: tests/statics/test_response.py
    """
    return moments_of(tube_parts_nmm(answer))


def tube_parts_nmm(answer: Response) -> FloatArray:
    """(k, struts, 2, 4) what those moments are made of: at the first end, at the second, parabola, triangle.

    Source: (S18). Test: tests/statics/test_response.py
    """
    model, struts = answer.stage.model, answer.stage.struts
    length = model.axes.length_mm[struts] - 2 * model.reach_mm
    parts = np.zeros((len(answer.arms), len(struts), 2, 4))  # (case, strut, y or z, share)
    parts[..., 0] = answer.arms[:, :, 1, 1:]
    # moments at end 2 about the axes of the arm there, in the strut's own axes
    twist, out, within = model.axes.twist_rad[struts], answer.arms[:, :, 3, 1], answer.arms[:, :, 3, 2]
    cosine, sine = np.cos(twist), np.sin(twist)
    parts[:, :, 0, 1], parts[:, :, 1, 1] = cosine * out - sine * within, sine * out + cosine * within
    parts[..., 2] = answer.load.across_n_mm[:, :, ::-1] * _TURNED * (length[:, None] ** 2 / 2)
    if answer.load.at_middle_n is not None:
        parts[..., 3] = answer.load.at_middle_n[:, :, ::-1] * _TURNED * (length[:, None] / 4)
    return parts


_TURNED = np.array([-1.0, 1.0])
"""Loads along z and y bend about y and z (in no formula)."""
_SHAPES = np.array([1 - SAMPLES, -SAMPLES, SAMPLES * (1 - SAMPLES), 1 - np.abs(2 * SAMPLES - 1)])
"""(4, 17) how each share runs along the tube (in no formula)."""


def moments_of(parts_nmm: FloatArray) -> FloatArray:
    """(…, 17, 2) moments from their shares, (…, 2, 4); source and test as `tube_parts_nmm`."""
    return np.asarray((parts_nmm @ _SHAPES).swapaxes(-1, -2))


def bent_at_most_nmm(parts_nmm: FloatArray) -> FloatArray:
    """(…) the largest moment anywhere along a tube is no more than this: ends of the line, and tops of what is on it.

    Source: (S18): a straight line between two vectors is nowhere longer than the longer one.
    Test: tests/statics/test_tube_uses.py
    """
    sizes = np.sqrt(reduce(np.add, np.moveaxis(np.square(parts_nmm), -2, 0)))  # few terms: faster than a sum of an axis
    top = np.maximum(sizes[..., 0], sizes[..., 1]) + sizes[..., 2] / 4 + sizes[..., 3]
    return np.asarray(top * (1.0 + _ROUNDING))


_ROUNDING = 1e-12
"""Rounding of a moment (in no formula)."""


def tube_utilisation(answer: Response, capacity: TubeCapacity) -> FloatArray:
    """(k, struts) use of each tube: axial plus bending, the worst place along it; see `utilisation_of`."""
    return utilisation_of(answer.arms[:, :, [1, 3], 0], tube_moments_nmm(answer), capacity, answer.stage.struts)


def utilisation_of(axial_n: FloatArray, moments_nmm: FloatArray, capacity: TubeCapacity,
                   struts: IntArray) -> FloatArray:
    """(…, struts) use from axial forces (…, struts, 2) at both ends and moments (…, struts, 17, 2).

    Source: (S18): EN 1995-1-1 (6.17), (6.23); the form of EN 1993-1-1 6.3.3. Test: tests/statics/test_limits.py

    Notes
    -----
    Timber EN 1995-1-1 (6.17), (6.23); metals and paper N/N_b + M/(M_d (1 − N/N_cr)), the form of EN
    1993-1-1 6.3.3 with the whole amplification on the moment. Infinite once N passes N_cr.
    """
    return use_of(*push_and_pull(axial_n), _longest(moments_nmm), capacity, struts)


def push_and_pull(axial_n: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(…) largest thrust and pull of axial forces at both ends, (…, 2). [N]"""
    first, second = axial_n[..., 0], axial_n[..., 1]
    return np.maximum(-np.minimum(first, second), 0.0), np.maximum(np.maximum(first, second), 0.0)


def _longest(moments_nmm: FloatArray) -> FloatArray:
    """(…) the largest of moments about two axes at places along a tube, (…, places, 2)."""
    square = np.square(moments_nmm)
    return np.asarray(np.sqrt((square[..., 0] + square[..., 1]).max(axis=-1)))


def use_of(push: FloatArray, pull: FloatArray, bent_nmm: FloatArray, capacity: TubeCapacity, struts: IntArray
           ) -> FloatArray:
    """The same from the largest thrust, pull [N] and moment of each tube, (…, struts), with what is locked in."""
    if capacity.locked is not None:
        more_n, more_nmm = capacity.locked.axial_n[struts], capacity.locked.moment_nmm[struts]
        push, pull, bent_nmm = push + more_n, pull + more_n, bent_nmm + more_nmm
    bending = amplified(bent_nmm / capacity.bending_nmm[struts], push, capacity, struts)
    return np.asarray(np.maximum(push / capacity.compression_n[struts], pull / capacity.tension_n[struts]) + bending)


def amplified(bending: FloatArray, push_n: FloatArray, capacity: TubeCapacity, struts: IntArray) -> FloatArray:
    """(…, struts) use by bending, enlarged by compression where the tube's code wants that; infinite past N_cr.

    Source: (S18): the form of EN 1993-1-1 6.3.3. Test: tests/statics/test_limits.py
    """
    enlarged = capacity.amplifies[struts]
    if not enlarged.any():
        return bending
    left = 1.0 - push_n / capacity.critical_n[struts]
    return np.asarray(np.where(enlarged, np.where(left > 0, bending / np.where(left > 0, left, 1.0), np.inf), bending))


def most_used(answer: Response, capacity: TubeCapacity) -> tuple[FloatArray, IntArray]:
    """(k,) use of the tube that is used most in each case, and (k,) its place among the stage's struts; 0, -1 of none.

    The same as of all tubes along their whole length, `tube_utilisation`: places are looked at where a bound by the
    ends passes the use of the tube whose bound is the largest.

    Source: (S18). Test: tests/statics/test_tube_uses.py
    """
    struts, parts = answer.stage.struts, tube_parts_nmm(answer)
    if not len(struts) or not len(parts):
        return np.zeros(len(parts)), np.full(len(parts), -1)
    push, pull = push_and_pull(answer.arms[:, :, [1, 3], 0])
    most = use_of(push, pull, bent_at_most_nmm(parts), capacity, struts)

    def exact(case: IntArray, strut: IntArray) -> FloatArray:
        bent = _longest(moments_of(parts[case, strut]))
        return use_of(push[case, strut], pull[case, strut], bent, capacity, struts[strut])

    if np.isnan(most).any():
        use = tube_utilisation(answer, capacity)
        return use.max(axis=1), use.argmax(axis=1)
    near = most >= exact(np.arange(len(most)), most.argmax(axis=1))[:, None]
    use = np.full(most.shape, -np.inf)
    use[near] = exact(*np.nonzero(near))
    return use.max(axis=1), use.argmax(axis=1)


def most_used_tube(answers: Iterable[Response], capacity: TubeCapacity) -> tuple[str, float]:
    """The strut whose tube is used most in any of the answers, first case of each, and its use; "" and 0 if none is."""
    found = "", 0.0
    for answer in answers:
        use, at = most_used(answer, capacity)
        if use[0] > found[1]:
            found = answer.stage.model.strut_names[int(answer.stage.struts[at[0]])], float(use[0])
    return found
