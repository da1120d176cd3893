"""What a machine cuts, read back by the reader of another maker (ezdxf's own) and as plain SVG."""

import io
import math
import re

import ezdxf
import ezdxf.bbox
import pytest
from ezdxf import units

from labels.cut_drawing import CutDrawing, Layer, Note, Path, Ring, Vertex, arc_radius_mm, bounds, bulge_of, flattened
from labels.cut_drawing_letters import GRID_HEIGHT, STROKES, stroke_width_mm, stroked
from labels.cut_files import dxf_bytes, true_size_svg

SLOT = Path("outline", (Vertex(-20.0, -5.0), Vertex(20.0, -5.0, -1.0), Vertex(20.0, 5.0), Vertex(-20.0, 5.0, -1.0)),
            closed=True)
"""A slot with round ends, run through clockwise: 50 mm long, 10 mm wide."""

DRAWING = CutDrawing("Łódź slot", (Layer("outline", "cut"), Layer("centre mark", "mark"),
                                   Layer("arm numbers turn 2", "mark", shown=False), Layer("notes not cut", "note")),
                     (SLOT, Ring("centre mark", (0.0, 0.0), 2.0),
                      *stroked("arm numbers turn 2", "2L", (10.0, 0.0), height_mm=6.0),
                      Note("notes not cut", (-20.0, 20.0), "Łódź ß 日本", 4.0)))


@pytest.fixture(scope="module")
def document():
    return ezdxf.read(io.StringIO(dxf_bytes(DRAWING).decode("utf-8")))


def test_dxf_passes_its_audit_and_says_millimetres(document):
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert document.units == units.MM
    assert document.header["$INSUNITS"] == 4     # millimetres, by the published DXF reference (from memory)


def test_layers_keep_their_names_and_the_later_turn_is_off(document):
    layers = {layer.dxf.name: layer.is_on() for layer in document.layers if layer.dxf.name not in ("0", "Defpoints")}
    assert layers == {"outline": True, "centre mark": True, "arm numbers turn 2": False, "notes not cut": True}


def test_size_and_arcs_come_through(document):
    outline = document.modelspace().query("LWPOLYLINE[layer=='outline']").first
    assert outline.closed
    box = ezdxf.bbox.extents([outline])
    assert (box.size.x, box.size.y) == pytest.approx((50.0, 10.0), abs=1e-6)
    assert document.modelspace().query("TEXT").first.dxf.text == "Łódź ß 日本"


def test_up_on_paper_is_up_in_the_file():
    dot = CutDrawing("x", (Layer("a", "cut"),), (Path("a", (Vertex(1.0, -7.0), Vertex(2.0, -7.0))),))
    read = ezdxf.read(io.StringIO(dxf_bytes(dot).decode("utf-8")))
    assert read.modelspace().query("LWPOLYLINE").first.get_points("xy") == [(1.0, 7.0), (2.0, 7.0)]


def test_same_drawing_same_bytes_and_ezdxf_is_left_as_it_was():
    assert dxf_bytes(DRAWING) == dxf_bytes(DRAWING)
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


def test_svg_is_in_true_millimetres():
    text = true_size_svg(DRAWING)
    width, height, left, top, wide, high = (float(x) for x in re.search(
        r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="(\S+) (\S+) (\S+) (\S+)"', text).groups())
    assert (width, height) == (wide, high)
    assert (left, top) == (-30.0, -10.0)
    assert "A5 5 0 0 1 20 5" in text             # clockwise on the screen, as the slot was drawn
    assert 'id="arm-numbers-turn-2" class="mark" fill="none" stroke="#0000ff" stroke-width="0.1" display="none"' in text


def test_flattened_arcs_stay_on_their_circle():
    points = flattened(SLOT, 5.0)
    assert all(math.hypot(abs(x) - 20.0, y) == pytest.approx(5.0) for x, y in points if abs(x) > 20.0)
    assert max(x for x, _ in points) == pytest.approx(25.0)
    box = bounds([SLOT])
    assert (box.left, box.top, box.right, box.bottom) == pytest.approx((-25.0, -5.0, 25.0, 5.0))


@pytest.mark.parametrize("angle_deg", [-200.0, -90.0, 30.0, 180.0, 300.0])
def test_bulge_and_radius_agree(angle_deg):
    angle = math.radians(angle_deg)
    end = (math.cos(angle), -math.sin(angle))    # anticlockwise on paper, y downward
    assert arc_radius_mm(Vertex(1.0, 0.0, bulge_of(angle)), Vertex(*end)) == pytest.approx(1.0)


def test_every_sign_stays_in_its_cell():
    for sign, strokes in STROKES.items():
        for stroke in strokes:
            for corner in stroke.split():
                assert 0 <= int(corner[0]) <= 4, sign
                assert 0 <= int(corner[1]) <= GRID_HEIGHT, sign
    paths = list(stroked("x", "12", (0.0, 0.0), height_mm=6.0))
    box = bounds(paths)
    assert box.right - box.left == pytest.approx(stroke_width_mm("12", 6.0), abs=2.0)
    assert (box.top, box.bottom) == pytest.approx((-3.0, 3.0))
