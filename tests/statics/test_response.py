"""Forces within a strut, misfits, tubes, buckling: against closed forms of single beams."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.joints import JOINTS
from fieldapp.base.materials import material
from fieldapp.base.sections import plies, rod, tube
from fieldapp.statics import loads
from fieldapp.statics.buckling import buckles_beyond, buckling_factor
from fieldapp.statics.make import Make
from fieldapp.statics.model import bare_model
from fieldapp.statics.response import load_factors, response
from fieldapp.statics.stiffness import Stage, factored, stage_of
from fieldapp.statics.tubes import tube_moments_nmm

C24 = material("C24")
SLENDER = replace(tube(40.0, 4.0), shear_mm2=np.inf)
"""Closed forms of bending alone; shear has a file of its own."""


def _beam(make, *, fixed, length=2000.0, direction=(1.0, 0.0, 0.0), outward=((0.0, 0, 1), (0.0, 0, 1))):
    """One strut between two hubs with given degrees of freedom held, (2, 6)."""
    nodes = np.array([[0.0, 0.0, 0.0], length * np.array(direction)])
    made = bare_model(nodes, np.array([[0, 1]]), make, outward=np.array(outward), on_ground=np.array([True, True]))
    loose = stage_of(made, made.hub_names)
    return Stage(made, loose.hubs, loose.struts, np.array(fixed, dtype=bool))


def _uniform(section=None, reach=200.0):
    section = section or SLENDER
    return Make(JOINTS["flat arm"], reach, section, C24, section, C24, hub_mass_kg=0.0)


CLAMPED = [[True] * 6] * 2
SIMPLE = [[True, True, True, True, False, False], [True, True, True, True, False, False]]


@pytest.mark.parametrize("fixed", [CLAMPED, SIMPLE])
def test_moments_along_a_uniform_beam_under_its_weight(fixed):
    """Clamped: w l²/12 at the ends, w l²/24 at midspan; simple: 0 and w l²/8."""
    make = _uniform()
    stage = _beam(make, fixed=fixed)
    answer = response(factored(stage), loads.weight(stage)) if fixed == SIMPLE else _still(stage)
    unit = make.tube_weight_n_mm * 2000.0**2
    root, midspan = (unit / 12, unit / 24) if fixed == CLAMPED else (0.0, unit / 8)
    assert np.abs(answer.arms[0, 0, [0, 2], 1]) == pytest.approx([root, root], abs=1e-6)
    assert np.abs(tube_moments_nmm(answer)[0, 0, 8]).max() == pytest.approx(midspan, rel=1e-9)


def _still(stage):
    """Both hubs clamped: nothing to solve; the weight alone acts in the arms."""
    from fieldapp.statics.response import Response

    load = loads.weight(stage)
    return Response(stage, np.zeros((1, 2, 6)), load.arms.reshape(1, 1, 4, 3), load)


def test_moment_at_the_arm_tube_joint_of_a_simple_beam():
    """w x (l − x) / 2 at x = reach, from both ends."""
    make = _uniform(reach=300.0)
    stage = _beam(make, fixed=SIMPLE)
    answer = response(factored(stage), loads.weight(stage))
    expected = make.tube_weight_n_mm * 300.0 * 1700.0 / 2
    assert np.abs(answer.arms[0, 0, [1, 3], 1]) == pytest.approx([expected, expected], rel=1e-9)


def test_arms_turned_against_each_other_bend_about_their_own_axes():
    """Hub 2 faces sideways: the weight bends its flat arm in plane, the other out of plane."""
    make = Make(JOINTS["flat arm"], 200.0, plies(12.0, 45.0), C24, tube(40.0, 4.0), C24, hub_mass_kg=0.0)
    stage = _beam(make, fixed=SIMPLE, outward=((0.0, 0, 1), (0.0, 1, 0)))
    answer = response(factored(stage), loads.weight(stage))
    out_1, in_1 = np.abs(answer.arms[0, 0, 1, 1:])
    out_2, in_2 = np.abs(answer.arms[0, 0, 3, 1:])
    assert in_1 == pytest.approx(0.0, abs=1e-6)
    assert out_2 == pytest.approx(0.0, abs=1e-6)
    assert out_1 > 0
    assert in_2 > 0


def test_a_strut_that_is_too_long_locks_in_e_a_over_l():
    """Between hubs that do not move: e × series stiffness of arm, tube, arm."""
    make = Make(JOINTS["flat arm"], 200.0, plies(12.0, 45.0), C24, tube(40.0, 4.0), C24, hub_mass_kg=0.0)
    stage = _beam(make, fixed=SIMPLE)
    locked = response(factored(stage), loads.misfit(stage, np.array([[2.0]])))
    give = 400.0 / (11_000.0 * 540.0) + 1600.0 / (11_000.0 * make.tube.area_mm2)
    assert locked.arms[0, 0, :, 0] == pytest.approx([-2.0 / give] * 4, rel=1e-9)


def test_an_arm_cut_at_a_wrong_angle_locks_in_a_moment():
    """Clamped uniform beam, one end kinked by φ: 4 E I φ / l there, 2 E I φ / l at the other end."""
    make = _uniform()
    stage = _beam(make, fixed=CLAMPED)
    load = loads.misfit(stage, np.zeros((1, 1)), angle_out_rad=np.array([[[0.01, 0.0]]]))
    unit = 11_000.0 * make.tube.inertia_out_mm4 * 0.01 / 2000.0
    assert np.abs(load.arms[0, 0].reshape(4, 3)[[0, 2], 1]) == pytest.approx([4 * unit, 2 * unit], rel=1e-9)


def test_misfits_scatter_as_a_monte_carlo_of_the_same_model_says(small_dome):
    """Root of the sum of squares of single misfits = standard deviation over random sets (2000 draws: within 6 %)."""
    _, _, made = small_dome
    stage = stage_of(made, made.hub_names)
    ready = factored(stage)
    count = len(stage.struts)
    single = response(ready, loads.misfit(stage, np.eye(count))).arms[:, :, 0, 1]
    draws = np.random.default_rng(3).normal(size=(2000, count))
    many = response(ready, loads.misfit(stage, draws)).arms[:, :, 0, 1]
    spread = np.sqrt((single**2).sum(axis=0))
    assert many.std(axis=0) == pytest.approx(spread, rel=0.06, abs=0.06 * spread.max())


@pytest.mark.parametrize("reach", [1e-3, 200.0, 600.0])
def test_euler_load_of_a_tube_between_hubs(reach):
    """Clamped uniform beam, 4 π² E_05 I / l², 5 % modulus: never above it, and at most 1.5 % below."""
    make = _uniform(reach=reach)
    stage = _beam(make, fixed=CLAMPED)
    euler = 4 * np.pi**2 * 7_400.0 * make.tube.inertia_out_mm4 / 2000.0**2
    assert 0.985 < stage.model.members.buckling_n[0] / euler < 1.0 + 1e-4


def _column():
    """Simple column of eight struts in a line, factored, and Euler's load of the whole."""
    make = _uniform(rod(35.0), reach=100.0)
    nodes = np.stack((np.zeros(9), np.zeros(9), np.arange(9) * 500.0), axis=1)
    ends = np.stack((np.arange(8), np.arange(1, 9)), axis=1)
    made = bare_model(nodes, ends, make, outward=np.tile([1.0, 0.0, 0.0], (9, 1)), on_ground=np.arange(9) == 0)
    loose = stage_of(made, made.hub_names)
    fixed = loose.fixed.copy()
    fixed[0, 5] = fixed[8, 0] = fixed[8, 1] = True
    euler = np.pi**2 * 11_000.0 * make.tube.inertia_out_mm4 / 4000.0**2
    return factored(Stage(made, loose.hubs, loose.struts, fixed)), euler


def test_buckling_of_a_column_of_eight_struts():
    """π² E I / l² of the whole; the strut's own share (1/64 of it, clamped 1/256) is on the safe side.

    The factor adds both up (Dunkerley); whether it is passed counts what a strut's inner points give, which is nearer.
    """
    ready, euler = _column()
    assert buckling_factor(ready, np.full(8, -euler)) == pytest.approx(1.0, rel=0.02)
    assert buckling_factor(ready, np.full(8, euler)) == np.inf
    factor = buckling_factor(ready, np.full(8, -euler / 7))
    assert buckles_beyond(ready, np.full(8, -euler / 7), 0.999 * factor)
    assert not buckles_beyond(ready, np.full(8, -euler / 7), 7.0 * 1.001)
    assert buckles_beyond(ready, np.full(8, euler), 1e6)


def test_second_order_of_a_column_with_a_side_load():
    """Simple column of eight struts, side load at midheight, compressed by a third of Euler's load.

    Deflection grows by 1 / (1 − 1/3) (Timoshenko's approximation, good to 1 % for a midspan load).
    """
    ready, euler = _column()
    stage = ready.stage
    side = np.zeros((1, *stage.fixed.shape))
    side[0, 4, 0] = 10.0
    softened = factored(stage, np.full(8, -euler / 3))
    first, second = (one.displacements(side)[0, 4, 0] for one in (ready, softened))
    assert second / first == pytest.approx(1.5, rel=0.02)
    assert factored(stage, np.full(8, -1.05 * euler)).buckles


def test_headroom_by_bisection():
    random = np.random.default_rng(1)
    base, step = random.uniform(-0.2, 0.2, (40, 3)), random.normal(size=(5, 40, 3))
    found = load_factors(base, step)
    for t, one in zip(found, step, strict=True):
        assert np.abs(base + t * one).sum(axis=1).max() == pytest.approx(1.0, rel=1e-12)
    assert load_factors(base * 10, step).tolist() == [0.0] * 5


def test_a_heavier_tube_sags_more(lean_dome):
    _, _, made = lean_dome
    heavy = replace(made.make, tube_material=replace(made.make.tube_material, density_kg_m3=840.0))
    assert heavy.tube_weight_n_mm == pytest.approx(2 * made.make.tube_weight_n_mm)


@pytest.mark.parametrize("joint", ["bolted end", "spring"])
def test_stiff_springs_make_the_clamped_end_and_soft_ones_the_pin(joint):
    """Midspan moment of one strut under its weight: w l²/24 with stiff springs, w l²/8 with pins."""
    moment = {}
    section = tube(40.0, 4.0)
    for stiffness in (1.0, 1e13):
        make = Make(JOINTS[joint], 1e-3, section, C24, section, C24, 0.0, stiffness, stiffness)
        stage = _beam(make, fixed=CLAMPED)
        answer = _still(stage)
        moment[stiffness] = np.abs(tube_moments_nmm(answer)[0, 0, 8]).max()
    unit = make.tube_weight_n_mm * 2000.0**2
    assert moment[1e13] == pytest.approx(unit / 24, rel=1e-4)
    assert moment[1.0] == pytest.approx(unit / 8, rel=1e-4)
