"""Frames that are no cut of our sphere, as files made from their formulas: counts, lengths, rank and mechanisms.

Counts of Schwedler and Kiewitt domes and the angles of polar zonohedra (Chilton & Coxeter 1963, from memory): computed
when the sheet of sources was made. Mechanisms: Maxwell 1864 and Calladine 1978, m = 3 j - rank; a convex surface of
triangles has none but the six of a body (Cauchy, Dehn). The 600-bar dome after Kaveh et al. 2022: rank 576, s 24, m 0.
The dome of two layers: M. Rezaiee-Pajand, M. Ghalishooyan and M. Salehi-Ahmadabad, Structural Engineering and Mechanics
48(6), 2013, problem 14, by a public text of its joints and bars: 391, 1470, 30 joints fixed. Its rings and bars are put
down here as a formula; rank and states of self-stress are computed, 1470 - 3 * 361 = 387.
"""

import math

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection
from fieldapp.frame.given.files import read_lines
from fieldapp.frame.given.section import DrawingSection
from fieldapp.frame.shape import strut_lengths
from fieldapp.identify.spheres import sphere
from fieldapp.plan.motions import motions_by_step
from fieldapp.plan.order import level_order
from tests.frame.given.test_files import published_dome

RADIUS_MM = 5000.0


def _written(path, nodes_mm, struts):
    rows = [f"P{i},{x:.9f},{y:.9f},{z:.9f}" for i, (x, y, z) in enumerate(nodes_mm)]
    path.write_text("\n".join(("point,x,y,z", *rows, "from,to", *(f"P{a},P{b}" for a, b in struts))))
    return path


def _read(path, unit="mm"):
    given = read_lines(path, unit=unit, up="z", weld_mm=1.0)
    return given, np.array([point[1:] for point in given.points]), np.array(given.lines)


def _built(given, **answers):
    return build_frame(Design(given=given, frame=FrameSection(file="frame.csv"), drawing=DrawingSection(**answers)))


def _rank(nodes, struts, fixed):
    """Rank of the compatibility matrix of the hubs that are not fixed."""
    unit = nodes[struts[:, 1]] - nodes[struts[:, 0]]
    unit /= np.linalg.norm(unit, axis=1)[:, None]
    rows = np.zeros((len(struts), len(nodes), 3))  # (strut, hub, direction)
    at = np.arange(len(struts))
    rows[at, struts[:, 1]], rows[at, struts[:, 0]] = unit, -unit
    return np.linalg.matrix_rank(rows[:, ~fixed].reshape(len(struts), -1), 1e-9)


def _ringed(rings, outer, joined):
    """Hubs of a cap ring by ring round a hub at the top; `joined` gives its struts by (ring, number)."""
    places = [(0, 0), *((ring, k) for ring in range(1, rings + 1) for k in range(outer(ring)))]
    index = {place: i for i, place in enumerate(places)}
    fall = np.radians(50.0) * np.array([ring for ring, _ in places]) / rings
    turn = np.array([math.tau * k / outer(ring) if ring else 0.0 for ring, k in places])
    nodes = RADIUS_MM * np.column_stack((np.sin(fall) * np.cos(turn), np.sin(fall) * np.sin(turn), np.cos(fall)))
    struts = {tuple(sorted((index[a], index[b]))) for a, b in joined}
    return nodes, np.array(sorted(struts))


def _schwedler(sectors, rings):
    def joined():
        for ring in range(1, rings + 1):
            for k in range(sectors):
                following = (ring, (k + 1) % sectors)
                yield (ring, k), following
                yield (ring, k), (ring - 1, k) if ring > 1 else (0, 0)
                if ring > 1:
                    yield following, (ring - 1, k)
    return _ringed(rings, lambda ring: sectors, joined())


def _kiewitt(sectors, rings):
    def joined():
        for ring in range(1, rings + 1):
            for k in range(sectors * ring):
                sector, along = divmod(k, ring)
                yield (ring, k), (ring, (k + 1) % (sectors * ring))
                for inner in (along - 1, along) if along else (0,):
                    yield (ring, k), (ring - 1, (sector * (ring - 1) + inner) % (sectors * (ring - 1))) \
                        if ring > 1 else (0, 0)
    return _ringed(rings, lambda ring: sectors * ring, joined())


@pytest.mark.parametrize(("base", "b", "c", "hubs", "lengths"), [
    ("icosahedron", 1, 1, 32, {.640852: 60, .713644: 30}),
    ("icosahedron", 2, 1, 72, {.393466: 60, .453507: 60, .467190: 30, .480483: 60}),
    ("octahedron", 3, 0, 38, {.459506: 24, .632456: 36, .671421: 48}),
])
def test_other_spheres_have_their_classes_and_are_rigid(tmp_path, base, b, c, hubs, lengths):
    nodes, struts = sphere(base, b, c)
    given, points, lines = _read(_written(tmp_path / "frame.csv", RADIUS_MM * nodes, struts))
    frame = _built(given)
    assert len(frame.hubs) == hubs
    assert {round(one.centre_length_mm / RADIUS_MM, 6): one.count for one in frame.strut_classes} == \
        pytest.approx(lengths, abs=1e-6)
    assert _rank(points, lines, np.zeros(hubs, dtype=bool)) == 3 * hubs - 6


@pytest.mark.parametrize(("made", "hubs", "struts"), [
    (_schwedler(12, 3), 37, 96), (_kiewitt(6, 2), 19, 42), (_kiewitt(6, 4), 61, 156), (_kiewitt(8, 4), 81, 208)])
def test_ribbed_domes_have_their_counts_and_no_mechanism(tmp_path, made, hubs, struts):
    given, _, _ = _read(_written(tmp_path / "frame.csv", *made))
    frame = _built(given)
    assert (len(frame.hubs), len(frame.struts)) == (hubs, struts)
    assert frame.top is not None, "crown ways apply"
    fixed = np.array([hub.on_ground for hub in frame.hubs])
    assert _rank(frame.nodes_mm, frame.ends, fixed) == 3 * (hubs - fixed.sum())


def _zonohedron(number, dip_deg, *, down_to=0, braced=False):
    """Polar zonohedron of so many directions, edges of a metre, from the top down to a level; rhombs braced across."""
    dip, turn = math.radians(dip_deg), math.tau * np.arange(number) / number
    along = 1000.0 * np.column_stack((math.cos(dip) * np.cos(turn), math.cos(dip) * np.sin(turn),
                                      np.full(number, math.sin(dip))))
    places = [(level, k) for level in range(down_to, number + 1) for k in range(1 if level in (0, number) else number)]
    index = {place: i for i, place in enumerate(places)}
    nodes = np.array([along[np.arange(k, k + level) % number].sum(axis=0) for level, k in places])

    def at(level, k):
        return index[level, 0 if level in (0, number) else k % number]

    pairs = {(at(level, k), at(level + 1, k - turned)) for level in range(down_to, number)
             for k in range(number) for turned in (0, 1)}
    if braced:
        pairs |= {tuple(sorted((at(level, k), at(level, k + 1)))) for level in range(max(down_to, 1), number)
                  for k in range(number)}
    return nodes, np.array(sorted(pairs))


@pytest.mark.parametrize(("number", "dip_deg", "angles"), [
    (5, math.degrees(math.atan(0.5)), (63.4349,)), (6, 35.2644, (48.1897, 90.0, 109.4712)),
    (8, 35.2644, (36.4150, 70.5288, 97.9362, 109.4712))])
def test_rhombs_of_a_zonohedron_are_mechanisms_until_they_are_braced(tmp_path, number, dip_deg, angles):
    nodes, struts = _zonohedron(number, dip_deg)
    assert (len(nodes), len(struts)) == (number * (number - 1) + 2, 2 * number * (number - 1))
    assert strut_lengths(nodes, struts) == pytest.approx(1000.0)
    top = nodes[struts[struts[:, 1] == len(nodes) - 1][:, 0]] - nodes[-1]
    found = np.degrees(np.arccos(np.clip(top @ top.T / 1e6, -1, 1)))
    assert all(np.abs(found - angle).min() < 1e-3 or np.abs(180 - found - angle).min() < 1e-3 for angle in angles)
    free = np.zeros(len(nodes), dtype=bool)
    assert 3 * len(nodes) - 6 - _rank(nodes, struts, free) >= number * (number - 1), "one motion a rhomb at least"
    nodes, struts = _zonohedron(number, dip_deg, braced=True)
    assert _rank(nodes, struts, free) == 3 * len(nodes) - 6


@pytest.mark.parametrize("braced", [False, True])
def test_what_moves_after_the_last_step_of_a_zonohedral_cap_is_found(tmp_path, braced):
    given, _, _ = _read(_written(tmp_path / "frame.csv", *_zonohedron(6, 35.2644, down_to=3, braced=braced)))
    frame = _built(given, seen_from="outside" if braced else "above")
    steps = level_order(frame, Design()).steps
    fixed = np.array([hub.on_ground for hub in frame.hubs])
    moves = 3 * (~fixed).sum() - _rank(frame.nodes_mm, frame.ends, fixed)
    assert motions_by_step(frame, steps)[-1].count == moves
    assert (moves == 0) == braced


def test_the_published_dome_is_rigid_with_24_states_of_self_stress(tmp_path):
    _, points, lines = _read(published_dome(tmp_path), "m")
    feet = points[:, 2] < 1.0
    assert feet.sum() == 24
    rank = _rank(points, lines, feet)
    assert (rank, len(lines) - rank) == (576, 24)


RINGS_OF_120 = {"b": (12, 0.0, 273.26, 196.85), "c": (12, 0.0, 492.12, 118.11), "d": (12, 0.0, 625.59, 0.0),
                "e": (12, 0.5, 492.12, 118.11)}
BARS_OF_120 = "a-b b-c c-d d-e c-e b-e b'-e b'-b d'-e c'-e"
"""Of one of 12 sectors; ' is the next one, a the hub at the top, 275.59 high. The lengths as printed, in inches.

Lieu, Do & Lee, Computers & Structures 195 (2018), read through an open gallery of examples, whose list has b'-e twice.
"""


def _dome_of_120(path, bars):
    nodes = {"a.0": (0.0, 0.0, 275.59)}
    for name, (count, turned, radius, height) in RINGS_OF_120.items():
        for k in range(count):
            turn = math.tau * (k + turned) / count
            nodes[f"{name}.{k}"] = (radius * math.cos(turn), radius * math.sin(turn), height)
    lines = [",".join(f"{end[0]}.{0 if end[0] == 'a' else (k + end.endswith(chr(39))) % 12}" for end in bar.split("-"))
             for k in range(12) for bar in bars.split()]
    path.write_text("\n".join(("point,x,y,z", *(f"{name},{x},{y},{z}" for name, (x, y, z) in nodes.items()),
                               "from,to", *lines)))
    return path


def test_the_dome_of_120_bars_is_rigid_and_a_bar_listed_twice_is_told(tmp_path):
    given, points, lines = _read(_dome_of_120(tmp_path / "frame.csv", BARS_OF_120), "in")
    feet = points[:, 2] < 1.0
    assert (len(points), len(lines), feet.sum()) == (49, 120, 12)
    rank = _rank(points, lines, feet)
    assert (rank, len(lines) - rank) == (3 * 37, 9)
    assert len(_built(given).strut_classes) == 7, "the groups into which its bars are put"
    with pytest.raises(DesignError, match=r"\(b\.1 to e\.0\) is drawn a second time"):
        _read(_dome_of_120(tmp_path / "frame.csv", BARS_OF_120 + " b'-e"), "in")


TOP = ((13, 0.0), (11, 1.0), (9, 1.75), (7, 2.5), (5, 3.0), (3, 3.5), (1, 3.75))
BOTTOM = ((12, -0.51), (10, 0.37), (8, 1.12), (6, 1.74), (4, 2.42), (2, 2.62))


def _double_layer():
    """Radius and height of the rings of both layers [m], those of the lower one half a turn of a sector further."""
    names, nodes, struts = {}, [], []

    def joint(*name, at):
        names[name] = len(nodes)
        nodes.append(at)

    for layer, rings, shift in (("top", TOP, 0.0), ("low", BOTTOM, 0.5)):
        for ring, (radius, height) in enumerate(rings):
            for k in range(30):
                turn = math.tau * (k + shift) / 30
                joint(layer, ring, k, at=(radius * math.cos(turn), radius * math.sin(turn), height))
    joint("crown", at=(0.0, 0.0, 3.88))

    def bar(a, b):
        struts.append((names[a], names[b]))

    for k in range(30):
        after = (k + 1) % 30
        for ring in range(6):
            low, top = ("low", ring, k), ("top", ring + 1, k)
            bar(low, ("low", ring, after))
            bar(top, ("top", ring + 1, after))
            bar(top, ("top", ring, k))
            for upper in (ring, ring + 1):
                bar(low, ("top", upper, k))
                bar(low, ("top", upper, after))
            if ring:
                bar(low, ("low", ring - 1, k))
        bar(("top", 6, k), ("crown",))
        bar(("low", 5, k), ("crown",))
    return 1000.0 * np.array(nodes), np.array(struts)


def test_a_published_dome_of_two_layers_is_stiff_and_a_frame_of_balls(tmp_path):
    drawn, bars = _double_layer()
    given, nodes, struts = _read(_written(tmp_path / "frame.csv", drawn, bars))
    assert (len(nodes), len(struts)) == (391, 1470)
    lengths = np.sort(strut_lengths(nodes, struts))
    np.testing.assert_allclose(lengths, np.sort(strut_lengths(drawn, bars)), atol=1e-5)
    fixed = np.array([math.hypot(*point[:2]) > 12_500 for point in nodes])
    assert fixed.sum() == 30
    rank = _rank(nodes, struts, fixed)
    assert (rank, 3 * (~fixed).sum() - rank, len(struts) - rank) == (1083, 0, 387)
    answers = {"seen_from": "above", "feet": tuple(point[0] for point, foot in zip(given.points, fixed, strict=True)
                                                   if foot)}
    frame = build_frame(Design(given=given, frame=FrameSection(file="frame.csv"), drawing=DrawingSection(**answers),
                               hub=HubSection(joint="ball node", reach_mm=60.0)))
    assert (len(frame.hubs), len(frame.struts), len(frame.level(1))) == (391, 1470, 30)
    assert max(len(hub.arms) for hub in frame.hubs) == 60
