"""What an axial force adds to the stiffness of a strut, and to the arm forces that hub displacements cause."""

import numpy as np

from fieldapp.frame.frame import FloatArray
from fieldapp.statics.stage import Stage


def axial_terms(stage: Stage, tension_n: FloatArray) -> FloatArray:
    """(…, struts, 2) factors of a strut's geometric and second stiffness that never leave it stiffer than it is.

    N and −N² / (1 − ν), ν the compression over the strut's own buckling load; infinite where it buckles by itself.

    Source: (S26). Test: tests/statics/test_second_order.py
    """
    left = 1.0 - np.maximum(-tension_n / stage.model.members.buckling_n[stage.struts], 0.0)
    squared = np.where(left > 0, -(tension_n**2) / np.where(left > 0, left, 1.0), -np.inf)
    return np.stack((tension_n, squared), axis=-1)  # (…, strut, term)


def arm_matrices(stage: Stage, axial: FloatArray | None) -> tuple[FloatArray, FloatArray]:
    """Axial terms, and the arm forces for hub displacements that go with them.

    Source: (S28). Test: tests/statics/test_second_order.py
    """
    model, struts = stage.model, stage.struts
    first = model.arm_per_displacement[struts]
    if axial is None:
        return np.zeros((len(struts), 2)), first
    return axial, _with_axial((first, model.arm_per_geometric[struts], model.arm_per_second[struts]), axial)


def strut_matrices(stage: Stage, axial: FloatArray | None) -> FloatArray:
    """(struts, 12, 12) stiffness in frame axes, with the effect of the axial force."""
    model, struts = stage.model, stage.struts
    if axial is None:
        return model.stiffness[struts]
    return _with_axial((model.stiffness[struts], model.geometric_stiffness[struts], model.second_stiffness[struts]),
                       axial)


def _with_axial(parts: tuple[FloatArray, FloatArray, FloatArray], axial: FloatArray) -> FloatArray:
    """(struts, 12, 12) first-order part, and those of the axial force and of its square."""
    first, once, twice = parts
    # (strut, dof, dof)
    return np.asarray(first + axial[:, 0, None, None] * once + axial[:, 1, None, None] * twice)
