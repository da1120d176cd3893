"""The barrel vault by formula, against the one that somebody else drew, and by plain geometry."""

from pathlib import Path

import numpy as np
import pytest

from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.design_file import design_of
from fieldapp.frame.given.files import read_lines
from fieldapp.frame.given.outside import outward_of_surface
from fieldapp.frame.shape import strut_lengths
from fieldapp.frame.vault import VaultSection, arc, vault

DRAWN = Path(__file__).parents[1] / "data" / "drawn" / "vault.csv"
ASKED = VaultSection(width_m=4.0, height_m=1.8, length_m=5.0)


def test_it_is_the_vault_that_somebody_drew():
    shape, _ = vault(ASKED)
    drawn = read_lines(DRAWN, unit="m", up="z", weld_mm=1.0)
    points = np.array([point[1:] for point in drawn.points])
    np.testing.assert_allclose(np.sort(strut_lengths(shape.nodes, shape.struts)),
                               np.sort(strut_lengths(points, np.array(drawn.lines))), atol=1.5, err_msg="drawn to 1 mm")


@pytest.mark.parametrize(("chords", "bays"), [(3, 1), (6, 4), (7, 3)])
def test_it_is_one_surface_of_triangles_whose_outsides_lie_across_the_axis(chords, bays):
    shape, outward = vault(ASKED.model_copy(update={"arch_struts": chords, "bays": bays}))
    assert len(shape.nodes) - len(shape.struts) + len(shape.faces) == 1, "a sheet without a hole"
    found, _ = outward_of_surface(shape.nodes, shape.faces)
    assert (found * outward).sum(axis=1).min() > 0.8, "faces are turned outward"
    assert shape.ground.sum() == 2 * (bays + 1)
    assert shape.nodes[shape.ground, 2] == pytest.approx(0.0, abs=1e-6)
    feet = np.abs(shape.nodes[shape.ground, 0])
    assert feet == pytest.approx(2000.0)


def test_the_arc_goes_through_feet_and_top():
    radius, half = arc(4000.0, 1800.0)
    assert radius * np.sin(half) == pytest.approx(2000.0)
    assert radius * (1 - np.cos(half)) == pytest.approx(1800.0)


def test_places_arms_and_classes_follow_the_same_rules_as_a_dome_s():
    frame = build_frame(Design(frame=FrameSection(shape="barrel vault"), vault=ASKED))
    assert (len(frame.hubs), len(frame.struts), frame.top, len(frame.level(1))) == (59, 154, None, 10)
    assert frame.hub("H01").on_ground
    assert {hub.handed for hub in frame.hub_classes} >= {"left", "right"}, "mirrored ends"


@pytest.mark.parametrize(("answers", "said"), [
    ({"frame": {"shape": "barrel vault"}}, "vault.width_m, vault.height_m and vault.length_m are missing"),
    ({"frame": {"shape": "barrel vault", "diameter_m": 4.0}, "vault": ASKED.model_dump()},
     "diameter_m is given, but a barrel vault has its size in .vault."),
    ({"frame": {"diameter_m": 4.0}, "vault": {"width_m": 4.0}},
     "vault.width_m is given, but frame.shape is \"sphere\""),
    ({"frame": {"shape": "barrel vault", "doorway": True}, "vault": ASKED.model_dump()}, "its ends are open"),
    ({"frame": {"shape": "barrel vault"}, "vault": {**ASKED.model_dump(), "height_m": 3.9}},
     "vault.height_m is 3.9; allowed are 0.2 to 3"),
])
def test_what_does_not_go_together_is_said(answers, said):
    with pytest.raises(DesignError, match=said):
        design_of(answers, source="design.toml")
