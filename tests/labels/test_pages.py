"""Pages as records, and what becomes of them in a PDF."""

import pikepdf
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels import LabelError
from labels.document import About
from labels.fonts import CAP_HEIGHT, text_width_mm
from labels.page import Link, Mark, Outline, Page, page_texts
from labels.page_forms import choices, choices_width_mm, id_boxes, id_boxes_width_mm
from labels.page_pdf import document_bytes, folded_order, imposed_bytes
from labels.page_text import Column, distance_size_mm, fitting_size_mm, wrapped
from labels.pieces import Words

A4 = (210.0, 297.0)


def page(*items, marks=()):
    return Page(tuple(items), tuple(marks))


def read(tmp_path, content):
    path = tmp_path / "d.pdf"
    path.write_bytes(content)
    return path


@given(st.integers(1, 40).map(lambda sheets: 4 * sheets))
def test_a_folded_pile_reads_in_order(count):
    sides = folded_order(count)
    # A sheet's front left page backs its back right page, and leaves follow each other through the pile.
    fronts, backs = sides[::2], sides[1::2]
    leaves = [(front[1], back[0]) for front, back in zip(fronts, backs, strict=True)]
    leaves += [(back[1], front[0]) for front, back in reversed(list(zip(fronts, backs, strict=True)))]
    assert [number for leaf in leaves for number in leaf] == list(range(count))


def test_pages_that_do_not_fill_the_sheets_are_refused():
    with pytest.raises(LabelError, match="a folded booklet needs a multiple of 4 pages, got 3; add empty pages"):
        imposed_bytes([page()] * 3, A4, About("x"))


@given(st.text("abc defg", max_size=120), st.floats(20.0, 120.0))
def test_broken_lines_hold_all_words_and_keep_the_width(text, width):
    lines = wrapped(text, width, 4.0)
    assert " ".join(lines).split() == text.split()
    assert all(text_width_mm(line, 4.0) <= width or " " not in line for line in lines)


def test_figures_stay_beside_their_units():
    assert wrapped("at most 20\u00a0N", 15.0, 4.2) == ("at most", "20\u00a0N")


def test_sizes_for_a_distance():
    # Capitals of distance × 0.004, at a glance × 0.006: NUREG-0700 rev. 3, 11.4.1.5.
    assert distance_size_mm(700.0) * CAP_HEIGHT == pytest.approx(0.004 * 700.0)
    assert distance_size_mm(2000.0, glance=True) * CAP_HEIGHT == pytest.approx(0.006 * 2000.0)


def test_a_title_shrinks_until_it_fits():
    size = fitting_size_mm("A long name of a frame", 60.0, 15.0, bold=True)
    assert text_width_mm("A long name of a frame", size, bold=True) == pytest.approx(60.0)
    assert fitting_size_mm("short", 60.0, 15.0) == 15.0


def test_a_column_goes_down_by_what_it_holds():
    column = Column(10.0, 20.0, 50.0)
    column.points(("one two three four five six seven eight nine ten", "next"))
    words = [item for item in column.items if item.text != "•"]
    assert [word.y_mm for word in words] == sorted(word.y_mm for word in words)
    assert all(word.x_mm + text_width_mm(word.text, word.size_mm) <= 60.0 for word in words)
    assert column.y_mm > words[-1].y_mm


def test_choices_and_id_boxes_take_the_room_they_say():
    row = list(choices(("glued", "cut back"), 0.0, 5.0))
    right = max(item.x_mm + text_width_mm(item.text, item.size_mm) for item in row if isinstance(item, Words))
    assert right == pytest.approx(choices_width_mm(("glued", "cut back")))
    boxes = [item for item in id_boxes("OH", 4, 0.0, 0.0) if isinstance(item, Outline)]
    assert len(boxes) == 5
    assert max(box.x_mm + box.width_mm for box in boxes) <= id_boxes_width_mm("OH", 4)


def test_links_and_bookmarks_lead_where_they_say(tmp_path):
    pages = (page(Link(10.0, 20.0, 30.0, 5.0, "there", "to page 2"), marks=[Mark("here", "First")]),
             page(Words("x", 10.0, 110.0, 4.0), marks=[Mark("there", "Second", y_mm=100.0), Mark("deep", "Deeper", 1)]))
    path = read(tmp_path, document_bytes(pages, A4, About("Title", "Subject", ("a", "b"))))
    with pikepdf.open(path) as pdf:
        link = pdf.pages[0].Annots[0]
        left, bottom, right, top = (float(value) / 72 * 25.4 for value in link.Rect)
        assert (left, right) == (pytest.approx(10.0, abs=0.01), pytest.approx(40.0, abs=0.01))
        assert (297.0 - top, 297.0 - bottom) == (pytest.approx(20.0, abs=0.01), pytest.approx(25.0, abs=0.01))
        assert [int(value) for value in link.Border] == [0, 0, 0]
        with pdf.open_outline() as outline:
            assert [(item.title, len(item.children)) for item in outline.root] == [("First", 0), ("Second", 1)]
            target = outline.root[1].destination
            assert target[0].objgen == pdf.pages[1].objgen
            assert 297.0 - float(target[3]) / 72 * 25.4 == pytest.approx(97.0, abs=0.01)
    about = pypdf.PdfReader(path).metadata
    assert (about.title, about.subject, about["/Keywords"]) == ("Title", "Subject", "a, b")


def test_a_link_to_nowhere_is_refused():
    with pytest.raises(LabelError, match="links lead to nowhere, which is on no page of Title"):
        document_bytes([page(Link(0.0, 0.0, 5.0, 5.0, "nowhere"))], A4, About("Title"))


def test_a_character_that_the_font_lacks_is_refused():
    with pytest.raises(LabelError, match='the font has no 日, needed for "日"; choose other words'):
        document_bytes([page(Words("日", 0.0, 0.0, 4.0))], A4, About("Title"))


def test_pages_are_drawn_one_by_one():
    asked = []

    def pages():
        for number in range(3):
            asked.append(number)
            yield page(Words(str(number), 10.0, 10.0, 4.0))
    told = []
    document_bytes(pages(), A4, About("x"), tell=lambda done, total: told.append((done, total, len(asked))), total=3)
    assert told == [(1, 3, 1), (2, 3, 2), (3, 3, 3)]


def test_texts_of_a_page():
    assert page_texts(page(Words("a", 0.0, 0.0, 4.0), Outline(0.0, 0.0, 1.0, 1.0), Words("b", 0.0, 0.0, 4.0))) == (
        "a", "b")
