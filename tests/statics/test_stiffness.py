"""Properties of every stage: equilibrium, symmetry, no dependence on how it is turned; stages that do not stand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import StaticsError
from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.said import in_words
from fieldapp.base.sections import plies, tube
from fieldapp.base.units import newton_from_kg
from fieldapp.statics import loads
from fieldapp.statics.limits import solved
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import Factored, Unstable, factored, stage_of

FORCES = st.lists(st.floats(-500.0, 500.0), min_size=3, max_size=3)


@settings(max_examples=25, deadline=None)
@given(hub=st.integers(10, 25), force=FORCES, rings=st.integers(2, 4))
def test_reactions_balance_the_loads(small_dome, hub, force, rings):
    _, frame, made = small_dome
    stage = stage_of(made, [h.name for h in frame.hubs if h.level <= rings])
    on = np.zeros((1, *stage.fixed.shape))
    on[0, hub % len(stage.hubs), :3] = force
    load = loads.weight(stage) + loads.on_hubs(stage, on)
    ready = factored(stage)
    displacements = ready.displacements(load.hubs_n)
    total = load.hubs_n[0] + ready.reactions(displacements, load.hubs_n)[0]
    turning = np.cross(made.nodes_mm, total[:, :3]) + total[:, 3:]
    assert total[:, :3].sum(axis=0) == pytest.approx([0.0] * 3, abs=1e-6)
    assert turning.sum(axis=0) == pytest.approx([0.0] * 3, abs=1e-2)


def test_weight_on_a_stage_is_the_mass_of_its_parts(lean_dome):
    _, frame, made = lean_dome
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    length = sum(strut.centre_length_mm for strut in frame.struts) - 2 * len(frame.struts) * 90.0
    tubes = newton_from_kg(420e-9 * length * np.pi / 4 * 34.0**2)
    assert -loads.weight(stage).hubs_n[0, :, 2].sum() == pytest.approx(newton_from_kg(36 * 0.3) + tubes)


def test_a_symmetric_frame_answers_symmetrically(small_dome):
    _, frame, made = small_dome
    stage = stage_of(made, [hub.name for hub in frame.hubs])
    displacements = solved(stage).weight.displacements[0]
    ring = [frame.hub_index[hub.name] for hub in frame.level(frame.level_count - 1)]
    assert np.ptp(displacements[ring, 2]) == pytest.approx(0.0, abs=1e-9)
    crown = frame.hub_index[frame.level(frame.level_count)[0].name]
    assert displacements[crown, :2] == pytest.approx([0.0, 0.0], abs=1e-9)


@settings(max_examples=10, deadline=None)
@given(angle=st.floats(0.1, 6.0), force=FORCES)
def test_turning_the_frame_turns_the_answer(small_dome, angle, force):
    _, _, made = small_dome
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    turned = bare_model(made.nodes_mm @ turn.T, made.ends, made.make, outward=made.outward @ turn.T,
                        on_ground=made.on_ground, names=(made.hub_names, made.strut_names))
    answers = []
    for one, pushed in ((made, np.array(force)), (turned, turn @ force)):
        stage = stage_of(one, one.hub_names)
        on = np.zeros((1, *stage.fixed.shape))
        on[0, 20, :3] = pushed
        answers.append(response(factored(stage), loads.on_hubs(stage, on)))
    assert answers[1].displacements[0, :, :3] == pytest.approx(answers[0].displacements[0, :, :3] @ turn.T, abs=1e-8)
    assert answers[1].arms == pytest.approx(answers[0].arms, abs=1e-5)


def test_twice_the_size_twice_the_deflection_of_a_cantilever():
    """Own weight at a free end grows with the fourth power of length, and by shear; w l⁴ / 8 E I + w l² / 2 G A_s."""
    of, section = material("C24"), tube(40.0, 4.0)
    make = Make(JOINTS["flat arm"], 100.0, section, of, section, of, hub_mass_kg=0.0)
    for length in (1000.0, 2000.0):
        made = bare_model(np.array([[0.0, 0, 0], [length, 0, 0]]), np.array([[0, 1]]), make,
                          outward=np.array([[0.0, 0, 1]] * 2), on_ground=np.array([True, False]))
        stage = stage_of(made, ["H01", "H02"])
        stage.fixed[0] = True
        load = loads.weight(stage)
        sag = factored(stage).displacements(load.hubs_n)[0, 1, 2]
        expected = make.tube_weight_n_mm * length**4 / (8 * of.youngs_modulus_mpa * section.inertia_out_mm4)
        expected += make.tube_weight_n_mm * length**2 / (2 * of.shear_modulus_mpa * section.shear_mm2)
        assert -sag == pytest.approx(expected, rel=1e-9)


def test_a_stage_that_does_not_stand_names_its_hubs(lean_dome):
    _, _, made = lean_dome
    answer = factored(stage_of(made, ["H01", "H02", "H11"]))
    assert isinstance(answer, Unstable)
    assert answer.hubs == ("H11",)
    assert in_words(answer.said) == "does not stand by itself: H11 can move. Hold or prop it, or fit more struts first"


def test_a_hub_in_the_air_without_struts_does_not_stand(lean_dome):
    _, _, made = lean_dome
    assert factored(stage_of(made, ["H36"])).hubs == ("H36",)
    assert isinstance(factored(stage_of(made, ["H36"], held=["H36"])), Factored)


def test_a_strut_that_only_turns_on_the_spot_still_stands(lean_dome):
    """Two ground hubs and their strut; even a moment about the strut is borne, by the hub's feet."""
    _, _, made = lean_dome
    stage = stage_of(made, ["H01", "H02"])
    answer = solved(stage)
    assert stage.names(answer.ready.spins.hubs) == ("H01",)
    spin = np.zeros((1, *stage.fixed.shape))
    spin[0, 1, 3:] = 1000.0 * made.axes.local[made.strut_index["S001"], 0]
    turned = answer.ready.displacements(spin)
    assert np.abs(turned[0, :, :3]).max() == 0.0
    assert 0.0 < np.linalg.norm(turned[0, 1, 3:]) < 0.1


def test_a_stage_that_its_weight_folds_says_so(lean_dome):
    """The same frame from parts a hundred times as heavy."""
    _, frame, made = lean_dome
    heavy = replace(made.make, tube_material=replace(made.make.tube_material, density_kg_m3=42_000.0))
    weak = bare_model(made.nodes_mm, made.ends, heavy, outward=made.outward, on_ground=made.on_ground,
                      names=(made.hub_names, made.strut_names))
    answer = solved(stage_of(weak, [hub.name for hub in frame.hubs if hub.level <= 3]))
    assert isinstance(answer, Unstable)
    assert answer.buckles
    assert in_words(answer.said).startswith("gives way under its own weight, most at H")


def test_names_are_checked_at_the_door(lean_dome):
    _, _, made = lean_dome
    with pytest.raises(StaticsError, match="there is no hub place H99; places run from H01 to H36"):
        stage_of(made, ["H99"])
    with pytest.raises(StaticsError, match="strut S001 is in this stage but one of its hubs is not"):
        stage_of(made, ["H01"], ["S001"])


def test_pins_make_a_truss_and_stiff_springs_a_frame():
    """One hub on three struts: with pins the closed form of a tripod, with stiff springs the same and a little less."""
    of, section = material("C24"), tube(40.0, 4.0)
    feet = np.array([[np.cos(a), np.sin(a), 0.0] for a in np.radians([0.0, 120.0, 240.0])]) * 1000.0
    nodes = np.vstack([feet, [[0.0, 0.0, 1000.0]]])
    ends = np.array([[0, 3], [1, 3], [2, 3]])
    sag = {}
    for stiffness in (0.0, 1e3, 1e9):
        make = Make(JOINTS["spring"], 100.0, plies(12.0, 45.0), of, section, of, 0.0, stiffness, stiffness)
        made = bare_model(nodes, ends, make, outward=np.array([[0.3, 0.2, 0.9]] * 4),
                          on_ground=np.array([True, True, True, False]))
        stage = stage_of(made, made.hub_names)
        on = np.zeros((1, 4, 6))
        on[0, 3, 2] = -100.0
        sag[stiffness] = -factored(stage).displacements(on)[0, 3, 2]
    along, length = np.sqrt(0.5), np.sqrt(2.0) * 1000.0 - 200.0
    force = 100.0 / (3 * along)
    stretch = force * length / (of.youngs_modulus_mpa * section.area_mm2)
    assert sag[0.0] == pytest.approx(stretch / along, rel=1e-9)
    assert sag[0.0] > sag[1e3] > sag[1e9] > 0.9 * sag[0.0]
