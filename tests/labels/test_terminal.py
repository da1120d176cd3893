"""A drawing in the terminal: dots where its lines are, letters where its letters are, never wider than asked."""

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.prints.terminal import place_text
from labels.drawing import Drawing, Line, Text
from labels.terminal import terminal_lines


def dots(lines):
    return {(2 * column + x, 4 * row + y) for row, line in enumerate(lines) for column, sign in enumerate(line)
            if 0x2800 <= ord(sign) < 0x2900 for y, bits in enumerate(((1, 8), (2, 16), (4, 32), (64, 128)))
            for x, bit in enumerate(bits) if (ord(sign) - 0x2800) & bit}


def test_a_line_lies_where_it_was_drawn():
    lines = terminal_lines(Drawing(40.0, 40.0, (Line((0.0, 0.0), (39.0, 39.0), "standing"),), "diagonal"), columns=20)
    assert dots(lines) == {(n, n) for n in range(40)}


def test_what_comes_later_is_fainter():
    def count(role):
        drawing = Drawing(40.0, 8.0, (Line((0.0, 4.0), (39.0, 4.0), role),), "line")
        return len(dots(terminal_lines(drawing, columns=20)))

    assert count("later") < count("standing") / 2 < count("standing") < count("this")


def test_letters_stay_inside():
    for x in (-5.0, 0.0, 20.0, 45.0):
        (line, *_) = terminal_lines(Drawing(40.0, 4.0, (Text((x, 2.0), "H22", "text"),), "word"), columns=20)
        assert "H22" in line
        assert len(line) <= 20


@pytest.mark.parametrize("place", ["H22", "S073", "H61", "S001"])
def test_a_place_is_said_and_shown(place):
    lines = place_text(build_kit(orchard_hall()), place, frozenset(), columns=60)
    assert place in "\n".join(lines[2:])
    assert max(map(len, lines[2:])) <= 60
    assert len(dots(lines[2:])) > 300


def test_show_from_the_command_line(tmp_path):
    from click.testing import CliRunner

    from fieldapp.cli import main
    from fieldapp.kit.file import made_kit, write_kit

    write_kit(tmp_path, made_kit(tmp_path, orchard_hall()).kit)
    shown = CliRunner().invoke(main, ["show", str(tmp_path), "oh s073"])
    assert shown.exit_code == 0
    assert shown.output.startswith("Lower end into arm 1 of H22, second ring, seventh from the front mark clockwise\n")
    assert "Whether it may go in is not known here yet" in shown.output
    refused = CliRunner().invoke(main, ["show", str(tmp_path), "S999"])
    assert refused.exit_code == 2
    assert "S999 is not a part of this kit: its struts run from S001 to S181" in refused.output
