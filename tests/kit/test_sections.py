"""A drawn frame whose file names two sections: everything about a strut is that of its own."""

import re
from pathlib import Path

import pytest

from fieldapp.base.errors import DesignError, KitFrozenError, PaperError
from fieldapp.base.said import in_words
from fieldapp.base.units import kg_per_mm3
from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit, check_stock
from fieldapp.kit.building import hindrances
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.file import kit_text, made_kit, read_kit, write_kit
from fieldapp.kit.forced import forced
from fieldapp.kit.interchange import difference
from fieldapp.prints.sheets.label_kinds import kind_sheets, wrap_mm
from fieldapp.prints.tables import tables
from fieldapp.reports.readiness.making import making_list
from fieldapp.web.photos.reading import known_labels

VAULT = Path(__file__).parents[1] / "data" / "drawn" / "vault.csv"
ANSWERS = """
[frame]
file = "frame.csv"
[drawing]
unit = "m"
up = "z"
[strut]
section = "rod"
material = "C24"
outer_mm = 35
stock_mm = 2400
length_error_mm = 1.5
[struts."ridge tube"]
section = "tube"
material = "S235"
outer_mm = 42
wall_mm = 2
stock_mm = 3000
length_error_mm = 1
[hub]
material = "S235"
reach_mm = 110
ply_mm = 4
arm_depth_mm = 30
mass_kg = 0.5
[raising]
insertion_depth_mm = 30
"""


def written(folder, answers=ANSWERS, section=lambda a, b: "ridge tube" if a[:3] == b[:3] else ""):
    """The vault's file, struts of one arch named as a section of their own, and the design beside it."""
    points, lines = VAULT.read_text().split("from,to")
    pairs = [line.split(",")[:2] for line in lines.strip().splitlines()]
    (folder / "frame.csv").write_text(points + "from,to,section\n" + "\n".join(
        f"{a},{b},{section(a, b)}" for a, b in pairs))
    (folder / "design.toml").write_text(answers)
    return folder / "design.toml"


@pytest.fixture(scope="module")
def kit(tmp_path_factory):
    return build_kit(read_design(written(tmp_path_factory.mktemp("two"))))


def _of(kit, section):
    return [part for part in kit.parts if part.kind == "strut"
            and kit.frame.strut_class(part.part_class).section == section]


def test_classes_masses_and_tables_know_the_section_of_each_strut(kit):
    poles, tubes = _of(kit, ""), _of(kit, "ridge tube")
    assert poles
    assert tubes
    assert len(poles) + len(tubes) == len(kit.frame.struts)
    one = tubes[0]
    area_mm2 = 3.14159265 / 4 * (42.0**2 - 38.0**2)
    assert one.mass_kg == pytest.approx(area_mm2 * one.cut_length_mm * kg_per_mm3(7850.0), rel=1e-6)
    rows = tables(kit, cutting_plan(kit))["struts.csv"].splitlines()
    assert rows[0].endswith(",section")
    assert sum(row.endswith(",ridge tube") for row in rows) == len(tubes)


def test_each_section_is_sawn_from_its_own_stock(kit):
    plans = dict(cutting_plan(kit).by_section)
    assert {name: plan.stock_mm for name, plan in plans.items()} == {"": 2400.0, "ridge tube": 3000.0}
    sawn = sum(pattern.bars * count for pattern in plans["ridge tube"].patterns for _, count in pattern.pieces)
    assert sawn == len(_of(kit, "ridge tube"))
    short = kit.design.model_copy(update={"struts": tuple(of.model_copy(update={"stock_mm": 300.0})
                                                          for of in kit.design.struts)})
    with pytest.raises(DesignError, match=re.escape('struts."ridge tube".stock_mm is 300')):
        check_stock(short, kit.frame)


def test_parts_of_different_sections_never_stand_in(kit):
    pole, tube = _of(kit, "")[0], _of(kit, "ridge tube")[0]
    assert in_words(difference(kit, pole, tube.made_for)) == \
        "a strut of another section: rod of 35 mm, C24 where tube of 42 × 2 mm, S235 belongs"
    assert forced(kit, pole, tube.made_for) is None
    other = next(part for part in _of(kit, "") if part.part_class != pole.part_class)
    assert forced(kit, pole, other.made_for) is not None


def test_strips_photos_checks_and_what_to_make_go_by_the_diameter(kit):
    pole, tube = _of(kit, "")[0], _of(kit, "ridge tube")[0]
    sheets, _ = kind_sheets(kit, "wrap", [pole.id, tube.id])
    assert len(sheets) == 2, "one length of strip a sheet"
    lengths = [wrap_mm(kit.design, mm)[1] for mm in (35.0, 42.0)]
    assert lengths[1] - lengths[0] == pytest.approx(3.14159265 * 7.0)
    with pytest.raises(PaperError, match="42 and 35 mm are not equally long"):
        kind_sheets(kit, "wrap", [pole.id, tube.id], on_roll=True)
    assert len(known_labels(kit).arcs_deg) > 3
    lines = {check.item: check for check in default_checks(kit.design).strut}
    assert {"splits", "end swelling"} <= lines.keys()
    assert lines["length"].at_most == 1.0
    rows = {row.part_class: in_words(row.section) for row in making_list(kit, [pole.made_for, tube.made_for]).rows}
    assert rows == {pole.part_class: "rod of 35 mm, C24", tube.part_class: "tube of 42 × 2 mm, S235"}


def test_fit_is_asked_of_every_section(kit):
    assert not [each for each in hindrances(kit.design, kit.frame) if each.refuses]
    thin = kit.design.model_copy(update={"struts": tuple(of.model_copy(update={"outer_mm": 30.0})
                                                         for of in kit.design.struts)})
    worse = [in_words(each.said) for each in hindrances(thin, kit.frame) if each.refuses]
    assert any(text.startswith('[struts."ridge tube"]: An arm of 30 × 4 mm needs') and
               'struts."ridge tube".outer_mm = ' in text for text in worse)


def test_one_size_of_arm_for_bores_far_apart_is_refused_first_with_both_measures(kit):
    poles = kit.design.strut.model_copy(update={"section": "tube", "material": "S235", "outer_mm": 48.3,
                                                "wall_mm": 2.3})
    wide = kit.design.model_copy(update={"strut": poles})
    refused = [each for each in hindrances(wide, kit.frame) if each.refuses]
    assert [each.name for each in refused] == ["loose"]
    said = in_words(refused[0].said)
    assert 'the tubes of [struts."ridge tube"] have 38.0 mm of bore and those of [strut] 43.7 mm' in said
    assert "What would fit: strut.wall_mm = 3.2" in said
    near = wide.model_copy(update={"strut": poles.model_copy(update={"wall_mm": 3.2})})
    assert not [each for each in hindrances(near, kit.frame) if each.refuses]


def test_a_labelled_kit_keeps_the_section_of_every_part(kit, tmp_path):
    design = read_design(written(tmp_path))
    write_kit(tmp_path, kit)
    (tmp_path / "frame.csv").rename(tmp_path / "gone.csv")
    assert kit_text(read_kit(tmp_path)) == kit_text(kit)
    assert not made_kit(tmp_path, design).answers
    swapped = read_design(written(tmp_path, section=lambda a, b: "" if a[:3] == b[:3] else "ridge tube"))
    with pytest.raises(KitFrozenError, match=re.escape('section strut → struts."ridge tube"')):
        made_kit(tmp_path, swapped)


def _one_arch(a, b):
    return "ridge tube" if a[:3] == b[:3] else ""


@pytest.mark.parametrize(("answers", "section", "said"), [
    (ANSWERS, lambda a, b: "ridge",
     'no line is of section ridge tube, which the design describes in [struts.…]; it has ridge (154)'),
    (ANSWERS, lambda a, b: ("ridge tube", "x", "y")[int(b[-1]) % 3], "without a table [struts.…]; allowed is one such"),
    (ANSWERS.replace("wall_mm = 2\n", ""), _one_arch, 'struts."ridge tube".wall_mm is missing'),
    (ANSWERS.replace("outer_mm = 42\n", ""), _one_arch,
     'struts."ridge tube".outer_mm is missing; allowed are numbers from 2'),
    (ANSWERS.replace('material = "S235"\nouter', 'material = "S236"\nouter'), _one_arch,
     'struts."ridge tube".material: '),
    (ANSWERS.replace("outer_mm = 42", "outer = 42"), _one_arch,
     'struts."ridge tube".outer is not a key; the nearest is outer'),
    (ANSWERS.replace("wall_mm = 2", "wall_mm = 2\nply_mm = 3"), _one_arch,
     'struts."ridge tube".ply_mm is 3, but with joint'),
    (ANSWERS.replace("wall_mm = 2", "wall_mm = 2\nstrut_loads_n = [900]"), _one_arch,
     'struts."ridge tube".strut_span_mm is missing, but struts."ridge tube".strut_loads_n lists 1 loads'),
    (ANSWERS.replace("wall_mm = 2", "wall_mm = 2\ntest_loads_n = [90]\ntest_lever_mm = 300"), _one_arch,
     'struts."ridge tube".test_loads_n lists break tests, but with joint "flat arm" struts have no arms'),
    (ANSWERS.replace('file = "frame.csv"', "diameter_m = 4"), _one_arch, "but the frame comes from no file"),
    (re.sub(r"\[struts.*?\[hub\]", "[hub]", ANSWERS, flags=re.DOTALL), _one_arch,
     'write a table for each, such as [struts."ridge tube"]'),
])
def test_what_sections_lack_is_said_with_its_table(tmp_path, answers, section, said):
    path = written(tmp_path, answers, section)
    with pytest.raises(DesignError, match=re.escape(said)):
        read_design(path)
