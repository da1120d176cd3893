"""A kit around old poles: who gets which ID, what is spare, foreign or to be made, and what is asked first."""

from collections import Counter
from dataclasses import replace

import pytest
from old_poles import BAR, HUBS, old_design, old_heap_text
from small_frame import small_design

from fieldapp.adopt.adoption import adoption
from fieldapp.adopt.table import adopted_table
from fieldapp.adopt.told import adoption_lines
from fieldapp.base.errors import DesignError, FrameError
from fieldapp.identify.heap_file import read_heap
from fieldapp.kit.file import kit_text, read_kit


@pytest.fixture
def heap(tmp_path):
    """Call it with a text, or with one that replaces another in the list."""
    def read(old="", new="", hubs=HUBS):
        path = tmp_path / "heap.csv"
        path.write_text(old_heap_text(hubs).replace(old, new) if old else old_heap_text(hubs), encoding="utf-8")
        return read_heap(path)

    return read


def test_every_piece_is_told_once(heap):
    found = adoption(heap(), old_design())
    said = Counter((one.piece.kind, found.kit.part(one.part).is_spare) for one in found.adopted)
    assert said == {("strut", False): 63, ("strut", True): 1, ("hub", False): 25}
    assert len({one.part for one in found.adopted}) == len(found.adopted)
    assert [piece.row.mark for piece in found.foreign] == ["tent"]
    assert Counter(part.part_class for part in found.to_make) == {"1R": 1, "B": 2}
    for one in found.adopted:
        part = found.kit.part(one.part)
        assert part.kind == one.piece.kind
        if part.kind == "strut":
            assert abs(one.piece.row.length_mm - part.cut_length_mm) <= 4.0
    lines = list(adoption_lines(found))
    assert lines[0].startswith("Adopted: 88 pieces at a place, 1 spares, 1 foreign. 60 keep a mark of their own")
    assert "To be made: 1 hub 1R and 2 struts B of 1139.7 mm" in lines
    assert "On several parts: 'red' (31 parts) and 'blue' (33 parts)." in "\n".join(lines)
    assert lines[-1].startswith("Strength: unknown, nobody has tested what struts and hub arms bear.")


def test_marks_stay_and_only_what_has_none_needs_a_label(heap, tmp_path):
    found = adoption(heap(), old_design())
    of = {one.piece.row.mark: found.kit.part(one.part) for one in found.adopted if one.piece.row.mark}
    assert (of["R3"].alias, of["R3"].own_mark) == ("R3, red", True)
    assert of["crown"].own_mark
    assert next(one for one in found.adopted if one.piece.row.mark == "L7").carried.codes == (BAR, "L7", "blue")
    piled = [found.kit.part(one.part) for one in found.adopted if one.piece.row.count == 5
             and one.piece.kind == "strut"]
    assert {(part.alias, part.own_mark) for part in piled} == {("red", False)}
    (tmp_path / "kit.json").write_text(kit_text(found.kit), encoding="utf-8")
    assert read_kit(tmp_path).parts == found.kit.parts
    table = adopted_table(found).splitlines()
    assert len(table) == 1 + 89 + 1 + 3


def test_a_mark_that_reads_as_an_id_is_refused(heap):
    with pytest.raises(FrameError, match=r"line 4: mark 'S12' reads as an ID of this kit") as told:
        adoption(heap("R3, red", "S12, red"), old_design())
    assert "Paint it over" in str(told.value)


def test_one_mark_in_two_rows_is_asked(heap):
    twice = heap("R4, red", "r3, red")
    with pytest.raises(FrameError, match=r"'R3' stands in 2 rows: heap.csv, line 4; heap.csv, line 5"):
        adoption(twice, old_design())
    found = adoption(twice, old_design(), same_marks=True)
    both = [one for one in found.adopted if one.piece.row.mark.upper() == "R3"]
    assert [found.kit.part(one.part).own_mark for one in both] == [False, False]


def test_a_code_without_check_digit_is_read_twice(heap):
    with pytest.raises(FrameError, match=r"code '4006381333932' has no check digit, and code_again is ''"):
        adoption(heap(BAR, "4006381333932"), old_design())


def test_arms_do_not_tell_handed_hubs_apart(heap):
    with pytest.raises(FrameError, match=r"9 hubs with 4 arms, but this frame has 2 classes of them, 1L, 1R"):
        adoption(heap(hubs="arms, count\n4, 9\n"), old_design())
    with pytest.raises(FrameError, match=r"hub_class is 9Z, but the classes with 4 arms are 1L, 1R"):
        adoption(heap(hubs="arms, count, hub_class\n4, 9, 9Z\n"), old_design())


def test_strength_is_never_taken_from_the_table(heap):
    with pytest.raises(DesignError, match=r"strength.struts and strength.hubs say \"known\", but nobody made"):
        adoption(heap(), small_design())


def test_a_frame_that_is_another_leaves_all_foreign(heap):
    design = old_design()
    other = design.model_copy(update={"frame": design.frame.model_copy(update={"diameter_m": 5.2})})
    assert len(adoption(replace(heap(), hubs=()), other).foreign) == 65
