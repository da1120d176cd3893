"""Strangers' shapes from files: a vault and a space grid become kits, a tower is refused with its reason.

Drawn from plain formulas by somebody who had not read the code; the files are kept.
"""

import re
import shutil
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from fieldapp.base.errors import DesignError
from fieldapp.base.said import in_words
from fieldapp.cli import main
from fieldapp.frame import build_frame
from fieldapp.frame.arms import fanned_deg
from fieldapp.frame.design_file import read_design
from fieldapp.frame.template import STARTER, design_text
from fieldapp.kit import build_kit
from fieldapp.kit.building import hindrances
from fieldapp.kit.file import folder_design, kit_text, read_kit, write_kit
from fieldapp.kit.hub_sizes import nearest_deg
from fieldapp.plan.order import level_order
from fieldapp.prints.pictures.hub_dial import dial_spots
from fieldapp.prints.pictures.plan_view import laid_open
from fieldapp.prints.terminal.drawn import drawn_lines, drawn_picture
from fieldapp.wording.facing import facing
from labels.drawing import Circle, Line

DRAWN = Path(__file__).parents[2] / "data" / "drawn"


def _design(folder, shape, **answers):
    text = design_text(STARTER.model_copy(update={"frame": STARTER.frame.model_copy(update={"diameter_m": None,
                                                                                            "file": "frame.csv"})}))
    for key, value in {"unit": '"m"', "up": '"z"', **answers}.items():
        text = re.sub(rf"^(# )?{key} = .*$", f"{key} = {value}", text, flags=re.MULTILINE)
    shutil.copy(DRAWN / f"{shape}.csv", folder / "frame.csv")
    (folder / "design.toml").write_text(text)
    return folder


def test_a_vault_is_numbered_like_any_frame_and_its_kit_needs_the_file_no_more(tmp_path):
    _design(tmp_path, "vault", front='"V0.0"')
    kit = build_kit(read_design(tmp_path / "design.toml"))
    frame = kit.frame
    assert (len(frame.hubs), len(frame.struts), len(frame.level(1))) == (59, 154, 10)
    front = frame.nodes_mm[[hub.name for hub in frame.hubs].index("H01")]
    assert front[0] == pytest.approx(0, abs=1e-3)
    assert front[1] < 0, "V0.0 stands at the front mark, and counting begins there"
    assert all(frame.position_mm(strut.end_1.hub)[2] <= frame.position_mm(strut.end_2.hub)[2] + 1e-3
               for strut in frame.struts)
    roof = frame.outward[frame.nodes_mm[:, 2] > 1700]
    assert roof[:, 2].min() > 0.9
    assert len(level_order(frame, kit.design).steps) == 59
    write_kit(tmp_path, kit)
    (tmp_path / "frame.csv").unlink()
    assert kit_text(read_kit(tmp_path)) == kit_text(kit)


def test_the_plan_of_a_vault_is_a_true_view_from_above(tmp_path):
    frame = build_frame(read_design(_design(tmp_path, "vault") / "design.toml"))
    flat, true = laid_open(frame), frame.nodes_mm[:, :2]
    assert np.ptp(flat[:, 0]) / np.ptp(flat[:, 1]) == pytest.approx(np.ptp(true[:, 0]) / np.ptp(true[:, 1]))


def test_a_space_grid_asks_from_where_it_is_looked_at_and_then_becomes_a_kit(tmp_path):
    with pytest.raises(DesignError, match="41 hubs have no outside"):
        build_frame(read_design(_design(tmp_path, "grid") / "design.toml"))
    kit = build_kit(read_design(_design(tmp_path, "grid", seen_from='"above"') / "design.toml"))
    assert len(kit.frame.struts) == 128
    assert len({part.part_class for part in kit.parts if part.kind == "strut"}) == 2


def test_a_tower_of_plates_is_refused_with_its_reason(tmp_path):
    folder = _design(tmp_path, "tower", seen_from='"front"')
    with pytest.raises(DesignError, match=r"S\d+ and S\d+ lie 0\.0° apart, one behind the other") as refused:
        build_frame(read_design(folder / "design.toml"))
    assert "stands 90° out of the plane of the hub" in str(refused.value)


def test_a_tower_of_balls_is_numbered_with_what_is_nearer_first(tmp_path):
    folder = _design(tmp_path, "tower", seen_from='"front"', joint='"ball node"', reach_mm="90")
    frame = build_frame(read_design(folder / "design.toml"))
    hub = next(hub for hub in frame.hubs if len({arm.azimuth_deg for arm in hub.arms}) < len(hub.arms))
    for one, following in zip(hub.arms, hub.arms[1:], strict=False):
        assert (one.azimuth_deg, one.dip_deg) < (following.azimuth_deg, following.dip_deg)
    shown = fanned_deg([arm.azimuth_deg for arm in hub.arms])
    apart = np.diff(sorted(shown), append=min(shown) + 360.0)
    assert apart.min() > 15.0
    assert len(set(dial_spots(frame, hub.name).values())) == len(hub.arms)


def test_balls_have_room_for_all_their_struts_or_it_is_said(tmp_path):
    kit = build_kit(read_design(_design(tmp_path, "grid", seen_from='"above"', joint='"ball node"', reach_mm="20",
                                        outer_mm="42") / "design.toml"))
    refused = [in_words(each.said) for each in hindrances(kit.design, kit.frame) if each.name == "touch"]
    assert "want the same room where two of them are 59.9° apart. What would fit: hub.reach_mm = 36.5" in refused[0]
    assert nearest_deg(kit.frame.hub_classes[0]) == pytest.approx(60.0, abs=0.1)


def test_nothing_is_labelled_before_somebody_looked_at_the_picture(tmp_path):
    result = CliRunner().invoke(main, ["make", str(_design(tmp_path, "vault"))])
    assert result.exit_code != 0
    assert "4.00 m wide at the front mark, 5.00 m deep, 1.80 m high; 10 hubs stand on the ground" in result.output
    assert "--looked-at" in result.output
    assert (tmp_path / "frame.svg").exists()
    assert not (tmp_path / "kit.json").exists()


@pytest.mark.parametrize(("up", "size"), [
    ("z", "4.00 m wide at the front mark, 5.00 m deep, 1.80 m high; 10 hubs"),
    ("y", "1.80 m wide at the front mark, 4.00 m deep, 5.00 m high; 7 hubs"),
    ("-z", "4.00 m wide at the front mark, 5.00 m deep, 1.80 m high; 5 hubs")])
def test_the_picture_shows_by_a_person_how_large_it_is_and_which_way_is_up(tmp_path, up, size):
    folder = _design(tmp_path, "vault", up=f'"{up}"')
    assert size in " ".join(drawn_lines(read_design(folder / "design.toml"), folder))
    items = drawn_picture(build_frame(read_design(folder / "design.toml"))).items
    ends = np.array([(item.start, item.end) for item in items  # (line, end, across and down)
                     if isinstance(item, Line) and item.role in ("standing", "far")])
    xs, ys = ends[:, :, 0], ends[:, 0, 1]
    person_mm = max(item.radius_mm for item in items if isinstance(item, Circle) and item.role == "person") / 0.075
    assert np.ptp(xs) / person_mm == pytest.approx(float(size[:4]) / 1.7, rel=0.35)
    top = np.ptp(xs[ys < np.quantile(ys, 0.15)])
    bottom = np.ptp(xs[ys > np.quantile(ys, 0.85)])
    if up != "y":
        assert (top < bottom) == (up == "z"), "a vault on its back is broad at the top"
    assert (np.ptp(ys) > 2.5 * person_mm) == (up == "y"), "on its side it is three times as high as a person"


def test_a_frame_that_is_refused_says_how_it_was_read(tmp_path):
    folder = _design(tmp_path, "grid", seen_from='"above"', up='"y"')
    with pytest.raises(DesignError, match=r"read as 0\.85 m wide, 4\.80 m deep and 4\.80 m high"):
        list(drawn_lines(read_design(folder / "design.toml"), folder))


def test_a_kit_made_before_up_was_asked_is_made_again_as_it_was(tmp_path):
    folder = _design(tmp_path, "vault")
    kit = build_kit(folder_design(folder))
    (folder / "design.toml").write_text((folder / "design.toml").read_text().replace('up = "z"\n', ""))
    with pytest.raises(DesignError, match=r"drawing\.up is missing"):
        folder_design(folder)
    write_kit(folder, kit)
    assert folder_design(folder).given == kit.design.given


@pytest.mark.parametrize(("shape", "answers"), [
    ("vault", {}), ("grid", {"seen_from": '"above"'}),
    ("tower", {"seen_from": '"front"', "joint": '"ball node"', "reach_mm": "90"})])
def test_the_front_mark_stands_at_a_hub_or_in_a_direction(tmp_path, shape, answers):
    given = read_design(_design(tmp_path, shape, **answers) / "design.toml").given
    ground = min(point[3] for point in given.points)
    feet = [point for point in given.points if point[3] < ground + 1.0]
    foot = max(feet, key=lambda point: point[1] + 0.5 * point[2])
    plan = np.array([point[1:3] for point in given.points])
    x, y = np.array(foot[1:3]) - (plan.min(axis=0) + plan.max(axis=0)) / 2
    clockwise_deg = np.degrees(np.arctan2(-x, -y))
    by_hub, by_angle = (build_frame(read_design(_design(tmp_path, shape, **answers, **front) / "design.toml"))
                        for front in ({"front": f'"{foot[0]}"'}, {"front_deg": f"{clockwise_deg:.9f}"}))
    at = by_hub.position_mm("H01")
    assert at[1] < 0
    assert abs(at[0]) < 0.05 * abs(at[1]), "who stands at the front mark has this hub before them, and counts from it"
    np.testing.assert_allclose(by_hub.nodes_mm, by_angle.nodes_mm, atol=1e-3)


def test_what_has_no_outside_is_told_nothing_of_one(tmp_path):
    for side in ("above", "front"):
        frame = build_frame(read_design(_design(tmp_path, "grid", seen_from=f'"{side}"', joint='"ball node"',
                                                reach_mm="60") / "design.toml"))
        told = asdict(facing(frame))
        assert not [words for words in told.values() if re.search("outside|outward", words)]
