"""What cannot be built is said before anything is cut: each check, its words, and the answers that it offers.

Geometry by hand beside each check; that 2 mm of wood are left beside a slot is common practice, no source.
"""

import math
import re

import numpy as np
import pytest
from click.testing import CliRunner

from fieldapp.base.errors import DesignError
from fieldapp.base.said import in_words
from fieldapp.cli import main
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.frame.design_file import read_design
from fieldapp.frame.template import STARTER, design_text
from fieldapp.kit import build_kit
from fieldapp.kit.building import hindrances, refuse_what_cannot_be_built
from fieldapp.kit.file import Made
from fieldapp.prints.folder import before_anything

TUBES = {"section": "tube", "outer_mm": 60.0, "wall_mm": 5.0}


def changed(**sections):
    """Orchard Hall with other answers."""
    base = orchard_hall()
    return base.model_copy(update={name: getattr(base, name).model_copy(update=answers)
                                   for name, answers in sections.items()})


def found(design):
    return {each.name: each for each in hindrances(design, build_frame(design))}


CASES = {
    "bore": ({"strut": TUBES}, True,
             "An arm of 45 × 24 mm needs 59.0 mm of bore at its dip of 12.1°, the tubes have 50.0 mm: it cannot be "
             "pushed in. What would fit: hub.arm_depth_mm = 32; strut.outer_mm = 69."),
    "bore by itself": ({"strut": TUBES | {"wall_mm": 1.8}}, False,
                       "An arm of 45 × 24 mm needs 59.0 mm of bore at its dip of 12.1°, the tubes have 56.4 mm: it "
                       "goes in only if every arm is packed by itself, and then the struts' axes miss each other by "
                       "up to 2.1 mm. What would fit: hub.arm_depth_mm = 41.5; strut.outer_mm = 63; "
                       "raising.insertion_depth_mm = 27."),
    "slot": ({}, False,
             "A slot for an arm of 24 mm at its dip of 12.1° leaves 0.0 mm of a pole of 35 mm where its wood is "
             "thinnest; common practice wants 2 mm. Sleeve or bind the ends, and break some such joints before you "
             "trust them. What would fit: strut.outer_mm = 42.5; hub.ply_mm = 8."),
    "slot of all": ({"hub": {"plies": 3}}, True,
                    "Arms are 36 mm thick, the solid poles 35 mm: a slot for such an arm leaves nothing of them. What "
                    "would fit: strut.outer_mm = 54.5."),
    "depth": ({"raising": {"insertion_depth_mm": 600.0}}, True,
              "Arms sit 600 mm deep at both ends, but strut A is only 925.6 mm long: they would meet in it. What would "
              "fit: raising.insertion_depth_mm = 462.5, or a larger frame."),
    "depth of nothing": ({"raising": {"insertion_depth_mm": 0.0}}, True,
                         "raising.insertion_depth_mm is 0: an arm that does not sit in its strut holds nothing. What "
                         "would fit: raising.insertion_depth_mm = 47.5."),
    "plate": ({"hub": {"arm_depth_mm": 90.0}}, True,
              "Hub classes 1, 2L, 2R, 3L, 3R, 4 and 1 more: arms run into each other up to 128 mm from the centre, but "
              "the struts end at 95 mm. What would fit: hub.reach_mm = 130.5; hub.arm_depth_mm = 65.5."),
    "touch": ({"strut": {"outer_mm": 120.0}}, False,
              "Hub classes 1, 2L, 2R, 3L, 3R, 4 and 1 more: the ends of neighbouring struts of 120 mm meet where arms "
              "are 55.7° apart: taper or mitre them. What would fit as it is: hub.reach_mm = 116.5; strut.outer_mm = "
              "98."),
    "stock": ({"hub": {"joint": "bolted end"}, "strut": TUBES | {"stock_mm": 1200.0}}, True,
              "Strut D is 1129.7 mm long between its bends and 1319.7 mm from bolt to bolt, but the stock has 1200 mm. "
              "What would fit: strut.stock_mm = 1320 and what stands beyond the holes, or a smaller frame."),
    "ends": ({"hub": {"joint": "bolted end"}}, False,
             "Lengths in the tables, the cut list and the cutting plan are those of the round part: from hole to hole "
             "every strut is 190 mm longer, and what stands beyond the holes comes on top. Add both before you buy and "
             "saw: bars are counted without them."),
    "rod": ({"hub": {"joint": "bolted end"}}, False,
            "The ends of solid rods cannot be flattened: halve them with a saw so that they lie flat, and break some "
            "such ends before you trust them. What would fit as it is: strut.section = \"tube\"."),
    "hole": ({"hub": {"joint": "bolted end", "hole_mm": 16.0},
              "strut": {"section": "tube", "material": "S235", "outer_mm": 25.0, "wall_mm": 2.0}}, False,
             "A hole of 16 mm wants an end 38.4 mm wide, 1.2 holes to either edge from its middle; flattened ends are "
             "36.1 mm wide, so that bolts tear out sooner than computed. What would fit: hub.hole_mm = 15; "
             "strut.outer_mm = 26.5."),
    "hole in wood": ({"hub": {"joint": "bolted end", "hole_mm": 8.0}}, False,
                     "A hole of 8 mm wants an end 64.0 mm wide, 4 holes to either edge from its middle; flattened ends "
                     "are 35.0 mm wide, so that bolts tear out sooner than computed. What would fit: hub.hole_mm = 4; "
                     "strut.outer_mm = 64."),
    "tips": ({"hub": {"joint": "bolted end", "hole_mm": 8.5},
              "strut": {"section": "tube", "material": "S235", "outer_mm": 25.0, "wall_mm": 2.0}}, False,
             "Leave at least 11 mm beyond the middle of every hole."),
    "strut classes": ({"frame": {"tolerance_mm": 20.0}}, False,
                      "Struts B are sawn to one length although their places are 1275.7 to 1291.4 mm long from hub to "
                      "hub: one is up to 13.2 mm off, more than the 1 mm by which the saw may err, and what does not "
                      "fit is locked into the arms. What would fit: frame.tolerance_mm = 2, with 4 lengths."),
    "strut classes and shallow arms": (
        {"frame": {"tolerance_mm": 20.0}, "raising": {"insertion_depth_mm": 13.0}}, True,
        "Struts B are sawn to one length although their places are 1275.7 to 1291.4 mm long from hub to hub: one is up "
        "to 13.2 mm off, and arms sit only 13 mm deep. What would fit: frame.tolerance_mm = 2, with 4 lengths."),
    "hub classes": ({"frame": {"tolerance_deg": 5.0}}, False,
                    "Hubs of class 2 are cut alike although their arms differ by 4.31°: one is 2.15° off, more than "
                    "the 0.25° by which an arm may err. What would fit: frame.tolerance_deg = 0.5."),
}
"""By what is found first; what is changed, whether it refuses, its words."""


@pytest.mark.parametrize("case", CASES)
def test_each_is_told_with_both_measures_and_what_would_fit(case):
    sections, refuses, words = CASES[case]
    name = next(name for name in ("strut classes", "hub classes", case.split()[0]) if case.startswith(name))
    each = found(changed(**sections))[name]
    assert (each.refuses, in_words(each.said)) == (refuses, words)


@pytest.mark.parametrize("case", [case for case in CASES if case not in ("ends", "tips")])
def test_every_answer_that_is_offered_fits(case):
    """Written into the design as it is offered, each takes its own hindrance away."""
    sections, _, words = CASES[case]
    name = next(name for name in ("strut classes", "hub classes", case.split()[0]) if case.startswith(name))
    offered = re.findall(r"(\w+)\.(\w+) = (\"tube\"|[\d.]*\d)", words.partition("What would fit")[2])
    assert offered
    for section, key, value in offered:
        answers = {**sections.get(section, {}), key: "tube" if "tube" in value else float(value)}
        if "tube" in value:
            answers["wall_mm"] = 2.0
        assert name not in found(changed(**{**sections, section: answers})), (section, key, value)


def test_an_arm_at_its_dip_by_hand():
    """Six arms of one dip, so that the axis crosses each in its middle: its corners are farthest at mouth and tip."""
    design = changed(frame={"frequency": 1, "cut": "2/3", "level_base": False, "tolerance_deg": 5.0},
                     strut=TUBES | {"wall_mm": 1.0, "outer_mm": 62.0})
    dip = math.asin(0.5 * 1.05146222)                       # chord factor 1.05146222: half its central angle
    need = 2 * math.hypot(22.5, 12.0 + 47.5 * math.sin(dip) / 2)
    said = in_words(found(design)["bore"].said)
    assert f"needs {math.ceil(10 * need) / 10:.1f} mm of bore at its dip of {math.degrees(dip):.1f}°" in said
    assert "bore" not in found(design.model_copy(update={"strut": design.strut.model_copy(
        update={"outer_mm": need + 2.0 + 1e-6})}))


@pytest.mark.parametrize(("changes", "words"), [
    ({"wall_mm = 5": "wall_mm = 31"}, "strut.wall_mm is 31, but the tube is only 60 mm thick"),
    ({"reach_mm = 95": "reach_mm = 600"}, "hub.reach_mm is 600; the shortest struts (class A) measure 1115.6 mm"),
    ({"stock_mm = 2400": "stock_mm = 900"}, "strut.stock_mm is 900, but strut D is cut 1129.7 mm long"),
    ({}, "An arm of 45 × 24 mm needs 59.0 mm of bore"),
])
def test_make_refuses_in_its_first_line_and_writes_nothing(changes, words, tmp_path):
    text = design_text(changed(strut=TUBES), comments=False)
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["make", str(tmp_path)])
    first = next(line for line in result.stderr.splitlines() if not line.startswith("…"))
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in first
    assert [path.name for path in tmp_path.iterdir()] == ["design.toml"]


def test_all_reasons_are_told_at_once():
    design = changed(hub={"plies": 3, "arm_depth_mm": 90.0})
    with pytest.raises(DesignError) as refused:
        refuse_what_cannot_be_built(hindrances(design, build_frame(design)))
    lines = str(refused.value).splitlines()
    assert [line.split()[0] for line in lines] == ["Hub", "Arms", "Nothing"]
    assert lines[-1] == "Nothing was written. Change the answers, then run the command again."


def test_nothing_stands_against_what_new_writes(tmp_path):
    said = CliRunner().invoke(main, ["new", str(tmp_path / "frame")]).stdout
    assert said.startswith("Wrote ")
    assert hindrances(STARTER, build_frame(STARTER)) == ()
    assert read_design(tmp_path / "frame" / "design.toml") == STARTER


def test_a_labelled_kit_goes_on_and_is_told_first():
    kit = build_kit(changed(raising={"insertion_depth_mm": 0.0}))
    told = []
    lines = before_anything(Made(kit, was_labelled=True, added=(), answers=()), told.append)
    assert lines[0].startswith("Look first: raising.insertion_depth_mm is 0: an arm that does not sit")
    assert told == list(lines)
    with pytest.raises(DesignError, match="holds nothing"):
        before_anything(Made(kit, was_labelled=False, added=(), answers=()), told.append)


def test_what_differs_inside_a_class_is_seen_in_every_place():
    """Half the frame's own spread of lengths, worked out from the places alone."""
    design = changed(frame={"tolerance_mm": 20.0})
    frame = build_frame(design)
    lengths = np.array([place.centre_length_mm for place in frame.struts if place.strut_class == "B"])
    said = in_words(found(design)["strut classes"].said)
    assert f"up to {np.abs(lengths - lengths.mean()).max():.1f} mm off" in said
