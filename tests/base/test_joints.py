"""The kinds of joint: what each is, and that a design, statics, plan and checklist take any kind of the table."""

import re
import tomllib
from dataclasses import fields, is_dataclass
from typing import get_args

import pytest

from fieldapp.base.errors import DesignError
from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.frame.design import HubSection
from fieldapp.frame.design_file import design_of
from fieldapp.frame.template import design_text
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.hub_sizes import insertion_depth_mm
from fieldapp.statics.make import make_of
from fieldapp.statics.model import model

GAPS = {"end", "strut", "arm", "hub", "material", "layers", "thickness", "width", "reach", "deeper", "root", "middle",
        "twice", "fewest", "lever", "mm"}


def held_by(kind, **hub):
    """A small frame with one kind of joint."""
    design = orchard_hall()
    return design.model_copy(update={
        "frame": design.frame.model_copy(update={"frequency": 2, "cut": "1/2"}),
        "hub": design.hub.model_copy(update={"joint": kind, "stiffness_out_nm_rad": 40.0,
                                             "stiffness_in_nm_rad": 300.0, **hub})})


def sentences(record):
    """All words of a record."""
    for value in (getattr(record, field.name) for field in fields(record)):
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, str):
                yield item
            elif is_dataclass(item):
                yield from sentences(item)


def test_the_design_file_offers_exactly_the_table():
    assert get_args(HubSection.model_fields["joint"].annotation) == tuple(JOINTS)
    assert all(kind == joint.kind for kind, joint in JOINTS.items())
    question = HubSection.model_fields["joint"].description
    assert all(joint.question in question for joint in JOINTS.values())


@pytest.mark.parametrize("kind", JOINTS)
def test_every_kind_is_read_computed_and_inspected(kind):
    design = held_by(kind)
    assert design_of(tomllib.loads(design_text(design)), source="design.toml") == design
    made = model(build_frame(design), design)
    assert made.dofs_per_hub == 6
    assert (made.arm_weight_n > 0.0) == (not JOINTS[kind].member.rigid and JOINTS[kind].member.arm_of == "hub")
    items = [check.item for check in (*default_checks(design).hub, *default_checks(design).strut)]
    assert {line.item for line in (*JOINTS[kind].inspection.hub, *JOINTS[kind].inspection.ends)} <= set(items)
    for text in sentences(JOINTS[kind]):
        assert set(re.findall(r"\{(\w+)\}", text)) <= GAPS, text


def test_flat_arm():
    """It sits in its strut: a rectangle of 3 by 4 has a diagonal of 5."""
    design = held_by("flat arm")
    assert insertion_depth_mm(design) == design.hub.reach_mm / 2
    assert JOINTS["flat arm"].fit.depth_mm(120.0, 45.0) == 45.0
    assert JOINTS["flat arm"].fit.bore_mm(40.0, 30.0, 0.0) == 50.0
    assert JOINTS["bolted end"].fit.bore_mm(40.0, 30.0, 0.0) == 0.0
    assert make_of(design).arm_material.name == design.hub.material
    assert not make_of(held_by("flat arm", stiffness_out_nm_rad=0.0, stiffness_in_nm_rad=0.0)).pinned


def test_bolted_end():
    """The arm is the strut's own: its material, its weight, nothing inserted, nothing pushed."""
    design = held_by("bolted end")
    made = make_of(design)
    assert insertion_depth_mm(design) == 0.0
    assert made.arm_material == made.tube_material == material(design.strut.material).with_own_values(
        design.strut.youngs_modulus_mpa, design.strut.shear_modulus_mpa, design.strut.density_kg_m3,
        bending_mpa=design.strut.bending_strength_mpa, compression_mpa=design.strut.compression_strength_mpa)
    assert made.arm_weight_n_mm == made.tube_weight_n_mm
    assert make_of(held_by("bolted end", stiffness_out_nm_rad=None, stiffness_in_nm_rad=None)).pinned
    assert not [text for text in sentences(JOINTS["bolted end"]) if re.search(r"(?i)\bpush|pin and packing", text)]
    lines = default_checks(design)
    assert lines.check("strut", "flattened ends").critical
    assert lines.check("hub", "bolts").critical
    assert lines.check("hub", "looseness") is None


def test_spring():
    """All give is in the springs, of which the first must be answered; without any it is a pin at any reach."""
    design = held_by("spring", reach_mm=0.0)
    assert make_of(design).arm_weight_n_mm == 0.0
    assert make_of(held_by("spring", stiffness_out_nm_rad=0.0, stiffness_in_nm_rad=0.0)).pinned
    with pytest.raises(DesignError, match=r'hub\.stiffness_out_nm_rad is missing; a hub with joint "spring" needs a '
                                          r"number from 0 up\. Measure it, or write 0 for a hinge\."):
        design_of({"frame": {"diameter_m": 4.0}, "hub": {"joint": "spring"}}, source="design.toml")
