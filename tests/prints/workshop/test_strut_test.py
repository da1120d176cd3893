"""The break-test sheet of struts: a span that a hand can load, what hangs, where the figures go; of every section."""

import math

import pytest

from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit
from fieldapp.prints.common import WorkshopSheet
from fieldapp.prints.workshop.break_test import break_pages
from fieldapp.prints.workshop.strut_test import HANDY_N, OVERHANG_MM, expected_n, span_mm, strut_test_pages
from labels.pieces import Words
from tests.kit.test_sections import ANSWERS, written


@pytest.fixture(scope="module")
def kit(tmp_path_factory):
    return build_kit(read_design(written(tmp_path_factory.mktemp("two"))))


def _words(sheet, maker):
    return " ".join(item.text for item in maker(sheet, 1).items if isinstance(item, Words))


def test_the_load_is_that_of_a_beam_on_two_supports(kit):
    """F = 4 f W / L; a rod of C24 of 35 mm: W = π d³ / 32."""
    assert expected_n(kit.design, "", 800.0) == pytest.approx(4 * 24.0 * math.pi * 35.0**3 / 32 / 800.0, rel=1e-6)


def test_spans_are_handy_or_as_long_as_the_struts_let_them(kit):
    for name in kit.frame.sections:
        span, longest = span_mm(kit, name), max(part.cut_length_mm for part in kit.parts if part.kind == "strut"
                                                and kit.frame.strut_class(part.part_class).section == name)
        assert span <= longest - 2 * OVERHANG_MM
        assert expected_n(kit.design, name, span) <= HANDY_N or span > longest - 2 * OVERHANG_MM - 300


def test_every_section_has_its_page_and_its_table_of_the_design(kit):
    sheet = WorkshopSheet(kit, "Break test")
    how, *tables = strut_test_pages(sheet)
    assert "Goggles for everybody near" in _words(sheet, how)
    assert "hinged" not in _words(sheet, how)
    told = {name: _words(sheet, maker) for name, maker in zip(kit.frame.sections, tables, strict=True)}
    assert "[strength]" in told[""]
    assert '[struts."ridge tube"]' in told["ridge tube"]
    assert f"strut_span_mm = {span_mm(kit, ''):.0f}" in told[""]
    assert all("strut_loads_n = [LOAD, LOAD, LOAD]" in words for words in told.values())
    assert "should break at about" in told[""]


def test_where_struts_are_hinged_no_arm_is_bent(tmp_path):
    hinged = ANSWERS.replace("[hub]\n", '[hub]\njoint = "ball node"\n')
    kit = build_kit(read_design(written(tmp_path, hinged)))
    sheet = WorkshopSheet(kit, "Break test")
    assert not break_pages(sheet)
    assert "pull_test_n" in _words(sheet, strut_test_pages(sheet)[0])
