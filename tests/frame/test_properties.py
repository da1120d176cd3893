"""What must hold for every frame, whatever its frequency, cut, subdivision and size."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame, named_frame, unit_shape
from fieldapp.frame.cuts import FULL, cuts
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.shape import Shape


@st.composite
def designs(draw):
    frequency = draw(st.integers(1, 7))
    shape = FrameSection(
        frequency=frequency, cut=draw(st.sampled_from(cuts(frequency))), level_base=draw(st.booleans()),
        subdivision=draw(st.sampled_from(["equal chords", "equal arcs"])),
        diameter_m=draw(st.floats(6.0, 40.0)))
    return Design(frame=shape)


def _built(design):
    try:
        return build_frame(design)
    except DesignError as error:
        assume("level_base" not in str(error))
        raise


def _turned(points, angle_rad):
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    return points @ np.array([[cosine, sine, 0], [-sine, cosine, 0], [0, 0, 1]])


def _matched(points, targets):
    """Index of the target that each point coincides with; fails if one has none."""
    from scipy.spatial import cKDTree  # only these tests need it

    distance, index = cKDTree(targets).query(points)
    assert distance.max() < 1e-3
    return index


@settings(max_examples=40, deadline=None)
@given(designs())
def test_the_frame_hangs_together(design):
    frame = _built(design)
    assert len(frame.hubs) - len(frame.struts) + len(frame.faces) == (2 if design.frame.cut == FULL else 1)
    for strut in frame.struts:
        for number in (1, 2):
            end = strut.end(number)
            arm = frame.hub(end.hub).arms[end.arm - 1]
            assert (arm.number, arm.strut, arm.end) == (end.arm, strut.name, number)
    assert sum(len(hub.arms) for hub in frame.hubs) == 2 * len(frame.struts)
    low, high = frame.nodes_mm[frame.ends[:, 0], 2], frame.nodes_mm[frame.ends[:, 1], 2]
    assert (low <= high + 1e-6 * frame.height_mm).all()


@settings(max_examples=40, deadline=None)
@given(designs())
def test_faces_look_outward_and_arms_dip_inward(design):
    frame = _built(design)
    corners = frame.nodes_mm[frame.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert ((corners.mean(axis=1) - frame.centre_mm) * normal).sum(axis=1).min() > 0
    assert all(arm.dip_deg > 0 for hub in frame.hubs for arm in hub.arms)


@settings(max_examples=40, deadline=None)
@given(designs())
def test_arms_point_along_their_struts(design):
    """Azimuth and dip turned back into a direction by another road: a rotation of the up vector."""
    frame = _built(design)
    for hub in frame.hubs[:: max(1, len(frame.hubs) // 12)]:
        i = frame.hub_index[hub.name]
        out = frame.outward[i]
        up = np.array([0, 1.0, 0]) if abs(out[2]) > 1 - 1e-12 else np.array([0, 0, 1.0])
        up = up - (up @ out) * out
        up /= np.linalg.norm(up)
        for arm in hub.arms:
            turn, dip = np.radians([arm.azimuth_deg, arm.dip_deg])
            flat = up * np.cos(turn) - np.cross(out, up) * np.sin(turn)
            strut = frame.strut(arm.strut)
            there = frame.position_mm(strut.end(3 - arm.end).hub)
            along = frame.nodes_mm[i] + (flat * np.cos(dip) - out * np.sin(dip)) * strut.centre_length_mm
            assert np.linalg.norm(along - there) < 1e-3


@settings(max_examples=25, deadline=None)
@given(designs())
def test_doubling_the_size_doubles_lengths_and_keeps_angles(design):
    single = _built(design)
    section = design.frame.model_copy(update={"diameter_m": design.frame.diameter_m * 2,
                                              "tolerance_mm": design.frame.tolerance_mm * 2})
    double = build_frame(design.model_copy(update={"frame": section}))
    assert double.nodes_mm == pytest.approx(single.nodes_mm * 2, abs=1e-5)
    assert [h.hub_class for h in double.hubs] == [h.hub_class for h in single.hubs]
    assert [s.strut_class for s in double.struts] == [s.strut_class for s in single.struts]
    assert [(s.end_1, s.end_2) for s in double.struts] == [(s.end_1, s.end_2) for s in single.struts]


@settings(max_examples=25, deadline=None)
@given(designs(), st.integers(1, 4))
def test_a_fifth_of_a_turn_lays_the_frame_on_itself(design, fifths):
    frame = _built(design)
    index = _matched(_turned(frame.nodes_mm, fifths * 2 * np.pi / 5), frame.nodes_mm)
    assert [frame.hubs[i].hub_class for i in index] == [hub.hub_class for hub in frame.hubs]
    assert [frame.hubs[i].level for i in index] == [hub.level for hub in frame.hubs]


@settings(max_examples=25, deadline=None)
@given(designs())
def test_the_mirror_twin_swaps_left_and_right(design):
    frame = _built(design)
    shape = unit_shape(design.frame)
    twin = named_frame(Shape(shape.nodes * [-1, 1, 1], shape.struts, shape.faces[:, ::-1], shape.row, shape.ground),
                       design, frame.radius_mm)
    index = _matched(frame.nodes_mm * [-1, 1, 1], twin.nodes_mm)
    swap = {c.name: c.mirror or c.name for c in frame.hub_classes}
    seen = [twin.hubs[i].hub_class for i in index]
    assert [_hand(name) for name in seen] == [_hand(swap[hub.hub_class]) for hub in frame.hubs]
    assert sorted(c.count for c in twin.hub_classes) == sorted(c.count for c in frame.hub_classes)


def _hand(name):
    """L, R or nothing."""
    return name[-1] if name[-1] in "LR" else ""


@settings(max_examples=25, deadline=None)
@given(designs())
def test_no_class_is_wider_than_its_tolerance(design):
    frame = _built(design)
    for strut_class in frame.strut_classes:
        lengths = [s.centre_length_mm for s in frame.struts if s.strut_class == strut_class.letter]
        assert max(lengths) - min(lengths) <= design.frame.tolerance_mm + 1e-4
        assert len(lengths) == strut_class.count
    assert [c.centre_length_mm for c in frame.strut_classes] == sorted(c.centre_length_mm for c in frame.strut_classes)
