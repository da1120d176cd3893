"""Pictures of a whole frame: true to the shape, legible, small."""

import math
import re
from functools import lru_cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_frame import small_design

from fieldapp.base.errors import FrameError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.frame import Frame
from fieldapp.kit import build_kit
from fieldapp.plan.hand_lifts import hand_lifts
from fieldapp.plan.planner import way_outlines
from fieldapp.prints.pictures import Showing, frame_view, hub_dial, lift_view, plan_view
from fieldapp.prints.pictures.camera import Camera, camera_for, direction, side_deg
from labels.drawing import Box, Circle, Drawing, Line, Text, text_box
from labels.svg import svg

LARGEST_BYTES = 45_000
CSS = Path(__file__).parents[3] / "static" / "drawing.css"


@lru_cache
def frame_of(frequency: int = 3, cut: str = "5/9", diameter_m: float = 6.4) -> Frame:
    return build_frame(Design(frame=FrameSection(frequency=frequency, cut=cut, diameter_m=diameter_m)))


@pytest.fixture
def frame() -> Frame:
    return frame_of()


def places(frame: Frame) -> list[str]:
    return [*(hub.name for hub in frame.hubs), *(strut.name for strut in frame.struts)]


def lower_half(frame: Frame) -> frozenset[str]:
    hubs = [hub.name for hub in frame.hubs if hub.level <= frame.level_count // 2]
    return frozenset((*hubs, *(strut.name for strut in frame.struts_between(hubs))))


def texts(drawing: Drawing) -> list[Text]:
    return [item for item in drawing.items if isinstance(item, Text)]


def text_of(drawing: Drawing, words: str) -> Text:
    return next(text for text in texts(drawing) if text.text == words)


def assert_labels_apart(drawing: Drawing) -> None:
    boxes = [text_box(item) for item in drawing.items if isinstance(item, Text)]
    page = Box(0, 0, drawing.width_mm, drawing.height_mm)
    assert not any(a.meets(b) for a, b in combinations(boxes, 2))
    assert all(box.inside(page) for box in boxes)


# labels


@pytest.mark.parametrize("standing", ["none", "half", "all"])
def test_no_two_labels_meet_with_all_hubs_named(frame: Frame, standing: str) -> None:
    filled = {"none": frozenset[str](), "half": lower_half(frame), "all": frozenset(places(frame))}[standing]
    showing = Showing(standing=filled, this="S073", labels=tuple(hub.name for hub in frame.hubs))
    for drawing in (frame_view(frame, showing), frame_view(frame, showing, size_mm=(180, 150)),
                    plan_view(frame, showing)):
        assert_labels_apart(drawing)
    named = {text.text for text in texts(plan_view(frame, showing, size_mm=180))}
    assert len(named & {hub.name for hub in frame.hubs}) > 0.9 * len(frame.hubs)


def test_large_frame_is_thinned_never_piled() -> None:
    large = frame_of(8, "5/8", 12.0)
    showing = Showing(standing=lower_half(large), this=large.struts[300].name,
                      labels=tuple(hub.name for hub in large.hubs))
    for drawing in (frame_view(large, showing), plan_view(large, showing)):
        assert_labels_apart(drawing)
        assert 10 < len(texts(drawing)) < len(large.hubs) / 3


@pytest.mark.parametrize("place", ["H01", "H08", "H22", "H37", "H61", "S001", "S015", "S073", "S120", "S165"])
def test_place_in_question_is_named_whatever_stands(frame: Frame, place: str) -> None:
    for standing in (frozenset[str](), frozenset(places(frame)) - {place}):
        showing = Showing(standing=standing, this=place)
        view = frame_view(frame, showing)
        assert_labels_apart(view)
        assert place in {text.text for text in texts(view)}
        assert place in {text.text for text in texts(plan_view(frame, showing))}
        if place in frame.strut_index:
            strut = frame.strut(place)
            assert {strut.end_1.hub, strut.end_2.hub} <= {text.text for text in texts(view)}


def test_every_dial_names_every_arm(frame: Frame) -> None:
    for hub in frame.hubs:
        for arm in (None, hub.arms[0].number):
            drawing = hub_dial(frame, hub.name, arm=arm, standing=lower_half(frame))
            assert_labels_apart(drawing)
            words = " ".join(text.text for text in texts(drawing)).split()
            assert {each.strut for each in hub.arms} <= set(words)
            assert {str(each.number) for each in hub.arms} <= set(words)


# truth


def test_place_faces_the_viewer(frame: Frame) -> None:
    for place in places(frame):
        camera = camera_for(frame, place)
        row = frame.ends[frame.strut_index[place]] if place in frame.strut_index else [frame.hub_index[place]]
        outward = frame.outward[row].mean(axis=0)
        view = camera.eye_mm() - frame.nodes_mm[row].mean(axis=0)
        assert outward @ view / np.linalg.norm(outward) / np.linalg.norm(view) > 0.5


def test_clockwise_from_the_front_mark_goes_left_from_the_bottom_of_the_plan(frame: Frame) -> None:
    plan = plan_view(frame, Showing(labels=tuple(hub.name for hub in frame.level(1))), size_mm=180)
    ring = frame.level(1)
    first, quarter = text_of(plan, ring[0].name).at, text_of(plan, ring[len(ring) // 4].name).at
    assert first[1] > 0.8 * plan.height_mm
    assert quarter[0] < 0.35 * plan.width_mm
    assert side_deg(frame, ring[len(ring) // 4].name) == pytest.approx(360 * (len(ring) // 4) / len(ring), abs=12)


def test_walker_who_goes_clockwise_sees_the_frame_turn_left_to_right(frame: Frame) -> None:
    points = np.array([[0.0, -1000.0, 0.0], [1000.0, 0.0, 0.0]])
    front, left = (Camera(azimuth, 0.0, (0.0, 0.0, 0.0), 9000.0).project(points) for azimuth in (0.0, 90.0))
    assert front[1, 0] > front[0, 0] == pytest.approx(0.0)
    assert left[0, 0] > left[1, 0] == pytest.approx(0.0)


def test_dial_shows_arms_as_they_look_from_outside(frame: Frame) -> None:
    """The dial's directions against a plain projection along the line of sight."""
    for hub in frame.hubs[:-1]:
        outward = frame.outward[frame.hub_index[hub.name]]
        right = np.cross([0.0, 0.0, 1.0], outward)
        up = np.cross(outward, right)
        drawing = hub_dial(frame, hub.name)
        middle = text_of(drawing, hub.name).at
        for arm in hub.arms:
            strut = frame.strut(arm.strut)
            other = strut.end_2.hub if strut.end_1.hub == hub.name else strut.end_1.hub
            span = frame.position_mm(other) - frame.position_mm(hub.name)
            seen = math.atan2(span @ right, span @ up)
            number = text_of(drawing, str(arm.number)).at
            drawn = math.atan2(number[0] - middle[0], middle[1] - number[1])
            assert math.cos(seen - drawn) > math.cos(math.radians(1.0))


@given(st.floats(0, 360), st.floats(0, 60), st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1))
def test_camera_keeps_the_cross_ratio(azimuth: float, elevation: float, x: float, y: float, z: float) -> None:
    """A theorem of projective geometry: four points of a line keep their cross ratio in any perspective."""
    start, span = 800.0 * np.array([x, y, z]), np.array([900.0, 400.0, 1300.0])
    line = start + np.outer([0.0, 1.0, 2.0, 3.0], span)
    flat = Camera(azimuth, elevation, (0.0, 0.0, 1000.0), 20000.0).project(line)[:, :2]
    along = (flat - flat[0]) @ (flat[3] - flat[0])
    a, b, c, d = along
    if abs(d) > 1e-3 * 20000**2:
        assert (c - a) * (d - b) / ((c - b) * (d - a)) == pytest.approx(2 * 2 / (1 * 3), rel=1e-6)


def test_person_is_drawn_to_scale(frame: Frame) -> None:
    view = frame_view(frame, Showing(), size_mm=(100, 84))
    head = max((item for item in view.items if isinstance(item, Circle) and item.role == "person"),
               key=lambda item: item.radius_mm)
    person_mm = head.radius_mm / 0.075
    across = [point[0] for line in view.items if isinstance(line, Line) for point in (line.start, line.end)]
    share = person_mm / (max(across) - min(across))
    assert share == pytest.approx(1700 / 6400, rel=0.1)  # both stand at nearly the same distance from the eye


def test_direction_zero_is_the_front_mark() -> None:
    assert direction(0.0) == pytest.approx([0.0, -1.0, 0.0])


# states


def test_states_differ_without_colour(frame: Frame) -> None:
    standing = lower_half(frame)
    view = frame_view(frame, Showing(standing=standing, this="S100", new=frozenset({"S101"})), facing="S100")
    looks = {role: {(line.width_mm, line.dashed) for line in view.items if isinstance(line, Line) and line.role == role}
             for role in ("later", "far", "standing", "new", "this")}
    assert all(dashed for _, dashed in looks["later"])
    assert not any(dashed for _, dashed in looks["standing"] | looks["far"])
    assert max(looks["far"]) < min(looks["standing"])
    assert max(looks["standing"]) < min(looks["new"]) < max(looks["this"])
    assert len(looks["standing"]) > 1


def test_left_out_struts_are_not_drawn(frame: Frame) -> None:
    door = frozenset(arm.strut for arm in frame.hub("H01").arms)
    lines = [sum(isinstance(item, Line) for item in plan_view(frame, Showing(left_out=out)).items)
             for out in (frozenset[str](), door)]
    assert lines[0] - lines[1] == len(door)


def test_dial_tells_fitted_arms_from_open_ones(frame: Frame) -> None:
    hub = frame.hub("H22")
    fitted = hub.arms[1].strut
    drawing = hub_dial(frame, hub.name, arm=hub.arms[0].number, standing=frozenset({fitted}))
    roles = [item.role for item in drawing.items if isinstance(item, Line)]
    assert roles.count("standing") == 3
    assert roles.count("later") == 3 * (len(hub.arms) - 2)


def both_dials(frame: Frame, place: str, standing: frozenset[str]) -> tuple[Drawing, ...]:
    strut = frame.strut(place)
    return tuple(hub_dial(frame, end.hub, arm=end.arm, standing=standing) for end in (strut.end_1, strut.end_2))


def test_both_ends_of_a_strut_get_a_dial_with_their_end(frame: Frame) -> None:
    strut = frame.strut("S073")
    for number, drawing in enumerate(both_dials(frame, "S073", frozenset()), start=1):
        words = {text.text for text in texts(drawing)}
        assert strut.end(number).hub in words
        assert f"arm {strut.end(number).arm} takes end {number}" in words


def test_unknown_place_is_refused(frame: Frame) -> None:
    with pytest.raises(FrameError, match="H99"):
        frame_view(frame, Showing(this="H99"))


# bytes


@pytest.mark.parametrize("standing", ["none", "half", "all"])
def test_part_page_pictures_stay_small(frame: Frame, standing: str) -> None:
    filled = {"none": frozenset[str](), "half": lower_half(frame), "all": frozenset(places(frame))}[standing]
    showing = Showing(standing=filled, this="S073")
    drawings = (frame_view(frame, showing), plan_view(frame, showing), *both_dials(frame, "S073", filled))
    assert sum(len(svg(drawing).encode()) for drawing in drawings) < LARGEST_BYTES


def test_large_frame_stays_small_too() -> None:
    large = frame_of(8, "5/8", 12.0)
    showing = Showing(standing=lower_half(large), this="S0300")
    drawings = (frame_view(large, showing), plan_view(large, showing), *both_dials(large, "S0300", showing.standing))
    assert sum(len(svg(drawing).encode()) for drawing in drawings) < LARGEST_BYTES


def test_same_state_same_bytes(frame: Frame) -> None:
    first, second = (Showing(standing=frozenset(names), this="S073", labels=("H22",))
                     for names in (places(frame)[:80], reversed(places(frame)[:80])))
    assert svg(frame_view(frame, first)) == svg(frame_view(frame, second))
    assert svg(plan_view(frame, first)) == svg(plan_view(frame, second))


# colours


def luminance(colour: str) -> float:
    """Relative luminance. W3C, Web Content Accessibility Guidelines 2.2, definition "relative luminance"."""
    parts = [int(colour[k:k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio. Same source."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_colours_of_words_and_lines_stand_out_in_every_theme() -> None:
    blocks = re.findall(r"\{([^{}]*--d-paper:[^{}]*)\}", CSS.read_text())
    themes = [dict(re.findall(r"--d-(\w+): (#\w{6})", block)) for block in blocks]
    assert len(themes) == 3
    for theme in themes:
        assert contrast(theme["ink"], theme["paper"]) >= 7  # words
        assert contrast(theme["this"], theme["paper"]) >= 7  # words on the flag
        assert all(contrast(colour, theme["paper"]) >= 3 for name, colour in theme.items() if name != "paper")


def test_a_piece_is_drawn_where_people_stand_round_it_and_faint_where_it_goes() -> None:
    kit = build_kit(small_design())
    plan = way_outlines(kit, "crown first")[0]
    for lift in hand_lifts(kit, plan):
        heights = []
        for up in (True, False):
            lines = [item for item in lift_view(kit.frame, plan, lift, up=up).items if isinstance(item, Line)]
            solid, faint = ([line for line in lines if (line.role == "later") == later] for later in (False, True))
            assert len(faint) == len(lift.hubs) + len(solid)       # every strut twice, and a path from each carrier
            heights.append([np.mean([line.start[1] + line.end[1] for line in some]) for some in (solid, faint)])
        assert heights[0][0] > heights[0][1]      # down the paper: it lies low, and goes up
        assert heights[1][0] < heights[1][1]
