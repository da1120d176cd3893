"""Labels find room without covering each other."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from labels.drawing import Box, Text, reserved_width_mm, text_box
from labels.lettering import Lettering, Wish, point_box

PAGE = Box(0, 0, 100, 80)
wishes = st.lists(st.builds(
    Wish, at=st.tuples(st.floats(0, 100), st.floats(0, 80)), text=st.sampled_from(["H1", "S0123", "front mark"]),
    size_mm=st.floats(2, 8), toward=st.tuples(st.floats(-1, 1), st.floats(-1, 1)),
    flag=st.sampled_from([None, "this"])), max_size=40)


@given(wishes)
def test_no_label_meets_another_or_leaves_the_page(crowd: list[Wish]) -> None:
    texts = [item for item in Lettering(PAGE).place_all(crowd) if isinstance(item, Text)]
    boxes = [text_box(text) for text in texts]
    assert not any(a.meets(b) for a, b in combinations(boxes, 2))
    assert all(box.inside(PAGE) for box in boxes)


def test_first_come_first_served_and_no_room_means_no_label() -> None:
    letters = Lettering(Box(0, 0, 12, 8))
    assert letters.place(Wish((6, 7.5), "H1", 5.0))
    assert letters.place(Wish((6, 7.5), "H2", 5.0)) == ()


def test_kept_clear_ground_stays_clear() -> None:
    letters = Lettering(PAGE)
    letters.keep_clear([point_box((50, 30), 10)])
    text, = (item for item in letters.place(Wish((50, 41), "H1", 5.0)) if isinstance(item, Text))
    assert not text_box(text).meets(point_box((50, 30), 10))


def test_reserved_width_holds_the_metrics_of_a_usual_sans_serif() -> None:
    # Helvetica widths of the Adobe core font metrics, as reportlab carries them.
    for name, bold in (("Helvetica", False), ("Helvetica-Bold", True)):
        for text in ("H22", "S073 B", "OH-S073-K", "front mark", "away from front mark", "WWMM", "ring 1", "59/60"):
            printed = pdfmetrics.stringWidth(text, name, 5.0)
            assert printed <= reserved_width_mm(text, 5.0, bold=bold) <= 1.45 * printed
