"""The same frame read from every kind of file; units, axes and welds; counts of a published one.

The 600-bar dome: one of 24 sectors after Kaveh et al., Periodica Polytechnica Civ. Eng. 2022. Its number of lengths and
their sum were computed when the sheet of sources was made: regression values.
"""

import math
import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh

from fieldapp.base.errors import DesignError
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design, FrameSection, HubSection
from fieldapp.frame.given.files import read_lines
from fieldapp.frame.given.section import DrawingSection

VAULT = Path(__file__).parents[2] / "data" / "drawn" / "vault.csv"
SECTOR = {1: (1, 7), 2: (1, 7.5), 3: (3, 7.25), 4: (5, 6.75), 5: (7, 6), 6: (9, 5), 7: (11, 3.5), 8: (13, 1.5),
          9: (14, 0)}
BARS = ("1-2 1-3 1-1' 1-2' 2-3 2-2' 3-2' 3-3' 3-4 4-3' 4-4' 4-5 5-4' 5-5' 5-6 6-5' 6-6' 6-7 7-6' 7-7' 7-8 8-7' 8-8' "
        "8-9 9-8'")


def _read(path, unit="m", up="z", weld_mm=1.0):
    return read_lines(path, unit=unit, up=up, weld_mm=weld_mm)


def _lengths(given):
    points = np.array([point[1:] for point in given.points])
    return np.sort([np.linalg.norm(points[a] - points[b]) for a, b in given.lines])


@pytest.fixture(scope="module")
def vault():
    return _read(VAULT)


def published_dome(folder):
    """The file of the 600-bar dome, in m."""
    rows = [f"{node}.{k},{r * math.cos(k * math.tau / 24):.9f},{r * math.sin(k * math.tau / 24):.9f},{z}"
            for k in range(24) for node, (r, z) in SECTOR.items()]
    bars = [f"{a}.{k},{b.strip(chr(39))}.{(k + b.endswith(chr(39))) % 24}"
            for k in range(24) for a, b in (bar.split("-") for bar in BARS.split())]
    (folder / "dome.csv").write_text("\n".join(("point,x,y,z", *rows, "from,to", *bars)))
    return folder / "dome.csv"


def test_a_published_dome_has_its_counts_and_lengths(tmp_path):
    given = _read(published_dome(tmp_path))
    lengths = _lengths(given)
    assert (len(given.points), len(given.lines)) == (216, 600)
    assert len(set(lengths.round(3))) == 23
    assert lengths.sum() == pytest.approx(1_284_786, abs=1)


def test_drawings_and_meshes_say_the_same_as_tables(vault, tmp_path):
    points = np.array([point[1:] for point in vault.points]) / 1000
    document = ezdxf.new()
    document.units = ezdxf.units.M
    block = document.blocks.new("half")
    for number, (a, b) in enumerate(vault.lines):
        (block if number % 2 else document.modelspace()).add_line(points[a], points[b])
    document.modelspace().add_blockref("half", (0, 0))
    document.modelspace().add_text("a note")
    document.modelspace().query("LINE").first.dxf.layer = "brace"
    document.saveas(tmp_path / "frame.dxf")
    swapped = points[:, [0, 2, 1]] * (1, 1, -1)            # y upward, as many meshes have it
    text = "\n".join((*(f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in swapped),
                      *(f"l {a + 1} {b + 1}" for a, b in vault.lines)))
    (tmp_path / "frame.obj").write_text(text)
    assert _read(tmp_path / "frame.dxf", unit=None).merged[-1] == \
        ("the lines of layers 0 (153), brace (1) all count as the one section of [strut]; a layer of other struts "
         "wants a table [struts.NAME]")
    for given in (_read(tmp_path / "frame.dxf", unit=None), _read(tmp_path / "frame.obj", up="y")):
        assert len(given.points) == len(vault.points)
        np.testing.assert_allclose(_lengths(given), _lengths(vault), atol=2e-3)
        assert max(point[3] for point in given.points) == pytest.approx(1800, abs=2e-3), "upward is upward"


def test_polylines_and_faces_of_a_drawing_are_lines_and_feet_are_listed(tmp_path):
    """A pyramid: its foot a closed polyline, its roof two faces that share an edge and a line."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    space, top = document.modelspace(), (500, 500, 900)
    space.add_polyline3d([(0, 0, 0), (1000, 0, 0), (1000, 1000, 100), (0, 1000, 0)], close=True)
    space.add_3dface([(0, 0, 0), (1000, 0, 0), top])
    space.add_3dface([(1000, 0, 0), (1000, 1000, 100), top])
    space.add_line((0, 1000, 0), top)
    document.saveas(tmp_path / "frame.dxf")
    given = _read(tmp_path / "frame.dxf", unit=None)
    assert (len(given.points), len(given.lines), len(given.faces)) == (5, 8, 2)
    names = {point[1:]: point[0] for point in given.points}
    listed = tuple(names[corner] for corner in ((0.0, 0.0, 0.0), (1000.0, 1000.0, 100.0)))
    feet = {answers: sum(hub.on_ground for hub in build_frame(Design(
        given=given, frame=FrameSection(file="frame.dxf"), hub=HubSection(joint="ball node"),
        drawing=DrawingSection(seen_from="above", **dict(answers)))).hubs)
        for answers in ((), (("feet_within_mm", 150.0),), (("feet", listed),))}
    assert list(feet.values()) == [3, 4, 2], "the lowest, those within a tolerance, those that are listed"


def test_hidden_edges_are_no_struts_and_an_edge_of_two_sections_is_asked(tmp_path):
    corners = a, b, c, d = (0, 0, 0), (1000, 0, 0), (1000, 1000, 0), (0, 1000, 0)
    for layer in ("0", "brace"):
        document = ezdxf.new()
        document.units = ezdxf.units.MM
        document.modelspace().add_3dface([a, b, c], {"invisible_edges": 0 if layer == "brace" else 8})
        document.modelspace().add_3dface([a, c, d], {"invisible_edges": 0 if layer == "brace" else 1, "layer": layer})
        document.saveas(tmp_path / f"{layer}.dxf")
    assert len(_read(tmp_path / "0.dxf", unit=None).lines) == len(corners)
    assert len(_read(tmp_path / "brace.dxf", unit=None).lines) == len(corners) + 1
    with pytest.raises(DesignError, match=r"layer brace, entity \w+ shares an edge with layer 0"):
        read_lines(tmp_path / "brace.dxf", unit=None, up="z", weld_mm=1.0, sections=("brace",))


def test_edges_of_an_stl_are_those_of_its_triangles(tmp_path):
    trimesh.creation.icosahedron().export(tmp_path / "frame.stl")
    given = _read(tmp_path / "frame.stl")
    assert (len(given.points), len(given.lines), len(given.faces)) == (12, 30, 20)


@pytest.mark.parametrize(("text", "answers", "said"), [
    ("", {}, "frame.csv: it has no line"),
    ("A,0,0,0", {}, "frame.csv, line 1 stands before the head of a table"),
    ("point,x,y,z\nA,0,0,zero", {}, "line 2 says \"zero\" where a number belongs"),
    ("point,x,y,z\nA,0,0,0\nA,1,0,0", {}, "line 3 names the point A a second time"),
    ("point,x,y,z\nA,0,0,0\nfrom,to\nA,B", {}, "line 4 names the point B, which the table of points has not"),
    ("point,x,y,z\nA,0,0,0\nB,1,0,0\nfrom,to\nA,B", {"unit": None},
     "drawing.unit is missing, and frame.csv names no unit"),
    ("point,x,y,z\nA,0,0,0\nB,1,0,0\nC,0,1,0\nfrom,to,class,section\nA,B,A,pole 35\nA,C,A,pole 35\nB,C,B,brace 20", {},
     "frame.csv names 2 sections: pole 35 (2), brace 20 (1); the design describes one"),
    ("point,x,y,z\nA,0,0,0\nB,1,0,0\nfrom,to\nA,B", {"weld_mm": 400.0}, "the shortest line measures 1000.0 mm"),
])
def test_what_a_file_lacks_is_said_with_its_place(tmp_path, text, answers, said):
    (tmp_path / "frame.csv").write_text(text)
    with pytest.raises(DesignError, match=re.escape(said)):
        _read(tmp_path / "frame.csv", **answers)


@pytest.mark.parametrize("ending", ["csv", "dxf", "obj", "stl"])
def test_every_file_is_asked_for_unit_and_up_at_once_with_what_to_write(tmp_path, ending):
    path = tmp_path / f"frame.{ending}"
    corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 3, 0]])
    if ending == "stl":
        trimesh.Trimesh(corners, [[0, 1, 2]]).export(path)
    elif ending == "dxf":
        document = ezdxf.new()
        document.units = 0
        document.modelspace().add_3dface(corners.tolist())
        document.saveas(path)
    else:
        path.write_text({"obj": "v 0 0 0\nv 1 0 0\nv 0 3 0\nf 1 2 3",
                         "csv": "point,x,y,z\nA,0,0,0\nB,1,0,0\nC,0,3,0\nfrom,to\nA,B\nB,C\nC,A"}[ending])
    with pytest.raises(DesignError) as asked:
        _read(path, unit=None, up=None)
    unit, up = str(asked.value).splitlines()
    assert unit.startswith("drawing.unit is missing, and frame.")
    assert "Under [drawing] write the one it was drawn in, such as unit = \"m\"." in unit
    assert "it reaches over 1 by 3 by 0 in x, y and z; allowed are x, y, z, -x, -y, -z" in up
    assert "Under [drawing] write the one that is the height, such as up = \"z\"" in up


@pytest.mark.parametrize("up", ["x", "y", "z", "-x", "-y", "-z"])
def test_the_axis_that_points_upward_does_and_nothing_is_mirrored(tmp_path, up):
    points = np.array([[0.0, 0, 0], [1, 0, 0], [0, 2, 0], [0, 0, 3]])
    rows = [f"{name},{x},{y},{z}" for name, (x, y, z) in zip("OXYZ", points, strict=True)]
    (tmp_path / "frame.csv").write_text("\n".join(("point,x,y,z", *rows, "from,to", "O,X", "O,Y", "O,Z", "X,Y", "Y,Z",
                                                   "Z,X")))
    found = {name: np.array(at) for name, *at in _read(tmp_path / "frame.csv", up=up).points}
    arms = np.array([found[name] - found["O"] for name in "XYZ"]) / 1000
    size = {"X": 1, "Y": 2, "Z": 3}[up[-1].upper()]
    assert arms["XYZ".index(up[-1].upper())].tolist() == [0, 0, -size if "-" in up else size]
    assert np.linalg.det(arms) == pytest.approx(6.0), "turned, never mirrored"


def test_layers_are_sections_where_the_design_describes_them(vault, tmp_path):
    points = np.array([point[1:] for point in vault.points]) / 1000
    document = ezdxf.new()
    document.units = ezdxf.units.M
    for number, (a, b) in enumerate(vault.lines):
        line = document.modelspace().add_line(points[a], points[b])
        line.dxf.layer = "brace 20" if number % 3 else "poles"
    document.saveas(tmp_path / "frame.dxf")
    given = read_lines(tmp_path / "frame.dxf", unit=None, up="z", weld_mm=1.0, sections=("brace 20",))
    assert given.merged[-1] == "52 lines of section poles are as in [strut]"
    assert [bool(name) for name in given.sections] == [bool(number % 3) for number in range(154)]
    with pytest.raises(DesignError, match="no line is of section braces"):
        read_lines(tmp_path / "frame.dxf", unit=None, up="z", weld_mm=1.0, sections=("braces",))


def test_lines_of_different_classes_are_never_one_class(tmp_path):
    (tmp_path / "frame.csv").write_text("point,x,y,z\nA,0,0,0\nB,1,0,0\nC,0.5,0.8,0\nD,0.5,0.4,0.8\nfrom,to,class\n"
                                        "A,B,sill\nB,C,\nC,A,\nA,D,\nB,D,rafter\nC,D,")
    given = _read(tmp_path / "frame.csv")
    assert given.classes == ("sill", "", "", "", "rafter", "")
    counts, names = [], []
    for lines in (given, given.model_copy(update={"classes": ()})):
        frame = build_frame(Design(given=lines, frame=FrameSection(file="frame.csv", tolerance_mm=20.0),
                                   drawing=DrawingSection(seen_from="above"), hub=HubSection(joint="ball node")))
        counts.append(len(frame.strut_classes))
        names.append({each.letter: each.drawn_as for each in frame.strut_classes if each.drawn_as})
    assert counts == [5, 4], "B to D, a rafter, is as long as A to D, which is none"
    assert names == [{"C": "sill", "E": "rafter"}, {}]
