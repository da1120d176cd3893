"""Which parts may stand in at another kit: as large, of the same stuff, no weaker, no less known, within tolerance.

Sizes, materials and test loads are invented; that limits stay the least is checked with the statics themselves.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_frame import tiny_design

from fieldapp.base.said import in_words
from fieldapp.kit import build_kit
from fieldapp.kit.interchange import arm_directions, hub_turns
from fieldapp.kit.kit import Part
from fieldapp.reports.pool.alike import alike
from fieldapp.reports.readiness.making import class_keys
from fieldapp.statics.capacity import arm_capacity


def design(prefix="MD", **answers):
    """The tiny frame with other answers: section__key = value."""
    made = tiny_design()
    made = made.model_copy(update={"frame": made.frame.model_copy(update={"prefix": prefix})})
    for name, value in answers.items():
        section, key = name.split("__")
        made = made.model_copy(update={section: getattr(made, section).model_copy(update={key: value})})
    return made


HERE = build_kit(design("OH"))


def whys(of, here=HERE):
    """Kind → why none of its parts may stand in at the other; None where all may."""
    kit = build_kit(of)
    found = {key: alike(kit, here, key) for key in class_keys(here)}
    return {kind: next((in_words(one.why) for key, one in found.items() if key[0] == kind and one.why), None)
            for kind in ("hub", "strut")}


def test_parts_of_a_twin_stand_in_and_turn_as_they_are_marked():
    twin = build_kit(design())
    for key in class_keys(HERE):
        found = alike(twin, HERE, key)
        assert found.places == {p.made_for for p in HERE.by_place.values() if (p.kind, p.part_class) == key}
    hub = twin.by_place["H07"]
    lent = Part(hub.id, "hub", hub.number, hub.part_class, None, hub.mass_kg, None, arms=arm_directions(twin, hub))
    assert hub_turns(HERE, lent, "H07")[0].keeps_numbers            # at the place of its own name nothing is turned
    assert hub_turns(HERE, lent, "H07")[0].off_deg == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("answers", "kind", "why"), [
    ({"hub__ply_mm": 12.0}, "hub", "its arms or holes have other sizes"),
    ({"hub__arm_depth_mm": 39.0}, "hub", "its arms or holes have other sizes"),
    ({"hub__material": "birch plywood 12"}, "hub", "it is of another material"),
    ({"hub__design_strength_mpa": 5.0}, "hub", "its arms bear less"),
    ({"strength__hubs": "unknown"}, "hub", "nobody has tested what its arms bear"),
    ({"hub__angle_error_deg": 1.0}, "hub", "it is heavier, or made less exactly"),
    ({"hub__mass_kg": 0.5}, "hub", "it is heavier, or made less exactly"),
    ({"hub__reach_mm": 112.0}, "hub", "its arms reach further or less far"),
    ({"strut__outer_mm": 29.0}, "strut", "it is thicker or thinner"),
    ({"strut__youngs_modulus_mpa": 9000.0}, "strut", "it is stiffer or less stiff"),
    ({"strut__bending_strength_mpa": 20.0}, "strut", "it bears less"),
    ({"strut__length_error_mm": 2.0}, "strut", "it is made less exactly"),
    ({"strength__struts": "unknown"}, "strut", "nobody has tested what it bears"),
    ({"frame__diameter_m": 2.204}, "strut", "mm too long"),
    ({"frame__subdivision": "equal arcs", "frame__cut": "2/3"}, "strut", None),
])
def test_what_is_in_the_way_is_said(answers, kind, why):
    found = whys(design(**answers))[kind]
    assert found is None if why is None else why in found


def test_what_was_pulled_apart_here_is_not_stood_in_for_by_what_was_not():
    tested = build_kit(design("OH", hub__pull_test_n=(620.0, 700.0, 655.0)))
    assert whys(design(), tested) == {"hub": "nobody has pulled its joints apart",
                                      "strut": "nobody has pulled its joints apart"}
    assert whys(design(hub__pull_test_n=(520.0, 600.0, 555.0)), tested)["hub"] == "its joints bear less"
    assert whys(design(hub__pull_test_n=(720.0, 800.0, 755.0)), tested) == {"hub": None, "strut": None}


@settings(max_examples=10)
@given(st.lists(st.floats(40.0, 400.0), min_size=1, max_size=5), st.lists(st.floats(40.0, 400.0), min_size=1,
                                                                          max_size=5))
def test_no_hub_that_bears_less_by_its_break_tests_stands_in(theirs, ours):
    of = design(hub__test_loads_n=tuple(theirs), hub__test_lever_mm=600.0, hub__test_scatter=0.1)
    here = design("OH", hub__test_loads_n=tuple(ours), hub__test_lever_mm=600.0, hub__test_scatter=0.1)
    try:
        least = arm_capacity(of).out_nmm >= arm_capacity(here).out_nmm * (1.0 - 1e-9)
    except Exception:
        least = False       # tests that scatter so much that nothing is left stand in for nothing
    assert (whys(of, _with(here))["hub"] is None) <= least


def _with(of):
    return HERE.__class__(of, HERE.frame, HERE.parts, HERE.by_id, HERE.by_place)
