"""Labels that list contents: all of them, in order, or said."""

from labels.label import Label
from labels.listing import capacity, compose_list
from labels.pieces import Words

SIZE = (92.0, 134.0)


def contents(count):
    return tuple(f"OH-S{number:03}-X" for number in range(1, count + 1))


def listed(count):
    label = Label("RING 2", ("struts",), 2, "class B", symbol_text="http://10.0.0.1:8000/RING/2", form="list",
                  contents=contents(count), name="Ring 2 struts")
    made = compose_list(label, SIZE)
    return [p for p in made.pieces if isinstance(p, Words) and p.text.startswith("OH-")], made.warnings


def test_few_entries_are_printed_large_and_many_small():
    few, many = listed(5), listed(capacity(contents(40), SIZE))
    assert few[1] == many[1] == ()
    assert few[0][0].size_mm > 1.5 * many[0][0].size_mm
    assert [w.text for w in few[0]] == list(contents(5))


def test_entries_that_find_no_room_are_named():
    most = capacity(contents(99), SIZE)
    shown, warnings = listed(most + 2)
    assert len(shown) == most
    assert [w.text for w in warnings] == list(contents(most + 2)[most:])
    assert "choose larger labels.box_width_mm and labels.box_height_mm" in str(warnings[0])
