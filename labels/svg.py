"""A drawing as SVG text: small, without scripts or inline style, the same bytes for the same drawing.

Every coordinate is rounded to 0.1 mm (half a phone pixel) before steps between points are taken, so rounding
never adds up. Colours come from the page by class (`static/drawing.css`); without a style sheet the picture
is in black print.
"""

from collections.abc import Iterable, Iterator
from html import escape
from itertools import groupby, pairwise
from typing import Final

from labels.drawing import DASH_MM, PAPER_GREY, Circle, Drawing, Item, Line, Point, Polygon, Role, Text

STEPS_PER_MM: Final = 10
PathStep = tuple[int, int]
PathSegment = tuple[PathStep, PathStep]


def svg(drawing: Drawing) -> str:
    """One `<svg>` element that scales with its box.

    Neighbouring items of one look become one path, so order is kept and hundreds of lines stay small.
    """
    body = "".join(_run(list(items)) for _, items in groupby(drawing.items, key=_look))
    return (f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" '
            f'viewBox="0 0 {_decimal(drawing.width_mm)} {_decimal(drawing.height_mm)}" fill="none" '
            f'stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">'
            f"<title>{escape(drawing.title, quote=False)}</title>{body}</svg>")


def _look(item: Item) -> tuple[object, ...]:
    """Items with the same look share one element."""
    match item:
        case Line():
            return "line", item.role, item.width_mm, item.dashed
        case Polygon():
            return "polygon", item.role, item.filled, item.width_mm
        case Circle():
            return "circle", item.role, item.filled, item.width_mm, item.radius_mm
        case Text():
            return "text", item.role, item.size_mm, item.anchor, item.bold


def _run(items: list[Item]) -> str:
    """The element for neighbouring items of one look."""
    first = items[0]
    match first:
        case Line():
            lines = [item for item in items if isinstance(item, Line)]
            return _path(first.role, _chains_data(lines), _line_look(first))
        case Polygon():
            data = "".join(_closed(item.points) for item in items if isinstance(item, Polygon))
            return _path(first.role, data, _shape_look(filled=first.filled, width_mm=first.width_mm))
        case Circle():
            return _circles([item for item in items if isinstance(item, Circle)])
        case Text():
            return _texts([item for item in items if isinstance(item, Text)])


def _line_look(line: Line) -> str:
    """Width and dashes."""
    dash = f' stroke-dasharray="{_decimal(DASH_MM[0])} {_decimal(DASH_MM[1])}"' if line.dashed else ""
    return f' stroke-width="{_decimal(line.width_mm, 2)}"{dash}'


def _shape_look(*, filled: bool, width_mm: float) -> str:
    """A shape is either filled or outlined."""
    return ' fill="currentColor" stroke="none"' if filled else f' stroke-width="{_decimal(width_mm, 2)}"'


def _path(role: Role, data: str, look: str) -> str:
    """One path element."""
    return f'<path{_role(role)}{look} d="{data}"/>'


def _role(role: Role) -> str:
    """Class for the style sheet, and the grey of black print for when there is none."""
    grey = PAPER_GREY[role]
    level = f"{round(255 * grey):02x}"
    return f' class="{role}"' + (f' color="#{level * 3}"' if grey else "")


def _circles(circles: list[Circle]) -> str:
    """Discs as round dots of one path; rings as two half circles each."""
    first = circles[0]
    if first.filled:
        data = "".join(f"M{_pair(_step(c.centre))}h0" for c in circles)
        return _path(first.role, data, f' stroke-width="{_decimal(2 * first.radius_mm)}"')
    r = _decimal(first.radius_mm)
    d = _decimal(2 * first.radius_mm)
    data = "".join(f"M{_pair(_step((c.centre[0] - first.radius_mm, c.centre[1])))}a{r} {r} 0 1 0 {d} 0"
                   f"a{r} {r} 0 1 0-{d} 0z" for c in circles)
    return _path(first.role, data, _shape_look(filled=False, width_mm=first.width_mm))


def _texts(texts: list[Text]) -> str:
    """A group of texts of one size."""
    first = texts[0]
    bold = ' font-weight="700"' if first.bold else ""
    anchor = "" if first.anchor == "start" else f' text-anchor="{first.anchor}"'
    inner = "".join(f'<text x="{_decimal(t.at[0])}" y="{_decimal(t.at[1])}">{escape(t.text, quote=False)}</text>'
                    for t in texts)
    return (f'<g{_role(first.role)} fill="currentColor" stroke="none" font-family="system-ui,sans-serif" '
            f'font-size="{_decimal(first.size_mm)}"{bold}{anchor}>{inner}</g>')


def _chains_data(lines: Iterable[Line]) -> str:
    """Path data of many lines, joined end to end where they meet."""
    return "".join(_open(chain) for chain in _chains([(_step(line.start), _step(line.end)) for line in lines]))


def _chains(segments: list[PathSegment]) -> Iterator[list[PathStep]]:
    """Walk along lines that share points, each line once."""
    at: dict[PathStep, list[int]] = {}
    for number, ends in enumerate(segments):
        for point in ends:
            at.setdefault(point, []).append(number)
    used = [False] * len(segments)
    for number, (start, _) in enumerate(segments):
        if not used[number]:
            yield _walk(start, segments, at, used)


def _walk(start: PathStep, segments: list[PathSegment], at: dict[PathStep, list[int]],
          used: list[bool]) -> list[PathStep]:
    """Points passed from `start` until no unused line goes on."""
    chain = [start]
    while True:
        here = chain[-1]
        onward = next((number for number in at[here] if not used[number]), None)
        if onward is None:
            return chain
        used[onward] = True
        first, second = segments[onward]
        chain.append(second if first == here else first)


def _open(points: list[PathStep]) -> str:
    """Path data: move to the first point, then steps."""
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    data = f"M{_pair(points[0])}l"
    for number, step in enumerate(steps):
        pair = _pair(step)
        data += pair if number == 0 or pair[0] == "-" else f" {pair}"
    return data


def _closed(points: Iterable[Point]) -> str:
    """Path data of a closed shape."""
    return _open([_step(point) for point in points]) + "z"


def _step(point: Point) -> PathStep:
    """A point in tenths of a millimetre."""
    return round(point[0] * STEPS_PER_MM), round(point[1] * STEPS_PER_MM)


def _pair(step: PathStep) -> str:
    """Two numbers with as few signs as SVG allows."""
    x, y = (_tenths(value) for value in step)
    return f"{x}{y}" if y[0] == "-" else f"{x} {y}"


def _tenths(value: int) -> str:
    """Tenths as a decimal: -5 → "-.5"."""
    sign = "-" if value < 0 else ""
    whole, tenth = divmod(abs(value), STEPS_PER_MM)
    return f"{sign}{whole or ''}.{tenth}" if tenth else f"{sign}{whole}"


def _decimal(value: float, digits: int = 1) -> str:
    """A number without needless zeros."""
    return f"{round(value, digits) + 0.0:g}"
