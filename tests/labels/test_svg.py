"""SVG text of drawings: small, safe under a strict content policy, nothing lost by joining lines."""

import re
from collections import Counter
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from labels.drawing import Circle, Drawing, Line, Point, Polygon, Text
from labels.svg import svg

SVG = "{http://www.w3.org/2000/svg}"
coordinates = st.floats(-500, 500, allow_nan=False)
points = st.tuples(coordinates, coordinates)
SAMPLE = Drawing(60.0, 40.0, (
    Line((1, 1), (5, 5), "later", 0.2, dashed=True),
    Polygon(((0, 0), (10, 0), (10, 5)), "halo", filled=True),
    Circle((20, 20), 3, "this", width_mm=0.9), Circle((20, 20), 2, "this", filled=True),
    Text((30, 30), "S1 <&>", "text", 5.0, bold=True)), "Hub H1 & <S1>")


def numbers(text: str) -> list[float]:
    return [float(part) for part in re.findall(r"-?(?:\d+\.\d+|\.\d+|\d+)", text)]


def segments(path: str) -> list[frozenset[tuple[int, int]]]:
    """Lines of path data made of M and l, in tenths."""
    found = []
    for part in path.split("M")[1:]:
        start, steps = part.split("l")
        x, y = (round(10 * value) for value in numbers(start))
        values = [round(10 * value) for value in numbers(steps)]
        for dx, dy in zip(values[::2], values[1::2], strict=True):
            found.append(frozenset({(x, y), (x + dx, y + dy)}))
            x, y = x + dx, y + dy
    return found


def tenths(point: Point) -> tuple[int, int]:
    return round(10 * point[0]), round(10 * point[1])


def test_element_is_named_and_carries_no_style_and_no_script() -> None:
    root = ElementTree.fromstring(svg(SAMPLE))
    assert root.get("role") == "img"
    assert root.get("viewBox") == "0 0 60 40"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "Hub H1 & <S1>"
    assert all("style" not in element.attrib and not element.tag.endswith(("script", "style"))
               and not any(name.startswith("on") for name in element.attrib) for element in root.iter())


def test_words_come_through_whole() -> None:
    texts = [element.text for element in ElementTree.fromstring(svg(SAMPLE)).iter(f"{SVG}text")]
    assert texts == ["S1 <&>"]


def test_order_of_items_is_kept_where_their_look_differs() -> None:
    roles = [element.get("class") for element in ElementTree.fromstring(svg(SAMPLE))[1:]]
    assert roles == ["later", "halo", "this", "this", "text"]


def test_same_drawing_same_bytes() -> None:
    assert svg(SAMPLE) == svg(Drawing(SAMPLE.width_mm, SAMPLE.height_mm, SAMPLE.items, SAMPLE.title))


@given(st.lists(st.tuples(points, points), min_size=1, max_size=40))
def test_each_line_is_drawn_once_and_rounded_once(ends: list[tuple[Point, Point]]) -> None:
    drawing = Drawing(100, 100, tuple(Line(a, b, "standing") for a, b in ends), "lines")
    path = ElementTree.fromstring(svg(drawing)).findall(f"{SVG}path")
    assert len(path) == 1
    assert Counter(segments(path[0].attrib["d"])) == Counter(frozenset({tenths(a), tenths(b)}) for a, b in ends)


def test_lines_that_share_ends_become_one_stroke() -> None:
    corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]
    lines = tuple(Line(corners[k], corners[(k + 1) % 3], "standing") for k in range(3))
    assert 'd="M0 0l10 0 0 10-10-10"' in svg(Drawing(20, 20, lines, "triangle"))
