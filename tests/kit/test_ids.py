"""Reading part IDs as people type them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.check_character import ALPHABET, check_character
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.ids import NO_CHECK, parse_part_id
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.numbering import compact

KIT = build_kit(orchard_hall())
OTHER = f"XY-S073-{check_character('XYS073')}"


@pytest.mark.parametrize(("text", "end", "remark"), [
    ("OH-S073-C", None, ""),
    ("oh s073 c", None, ""),
    ("ohs073c", None, ""),
    ("S073C", None, ""),
    ("s73c", None, ""),
    ("OH–S073–C", None, ""),
    ("http://10.0.0.1:8000/P/OH-S073-C.2", 2, ""),
    ("HTTP://OLD.ADDRESS/P/OH-S073-C.1?x=1", 1, ""),
    ("S073.2", 2, NO_CHECK),
    ("S73", None, NO_CHECK),
    ("OH-S073", None, NO_CHECK),
    ("Ｓ073C", None, ""),
])
def test_forms_that_mean_s073(kit: Kit, text: str, end: int | None, remark: str) -> None:
    found = parse_part_id(text, kit)
    assert (found.part, found.end, found.message) == (kit.by_place["S073"], end, remark)


def test_a_hub_has_no_end(kit: Kit) -> None:
    hub = kit.by_place["H22"]
    assert parse_part_id(f"{hub.id}.1", kit).end is None


def test_spares_are_found_like_all_parts(kit: Kit) -> None:
    for part in kit.parts:
        assert parse_part_id(part.id, kit).part is part


@pytest.mark.parametrize(("text", "message", "nearest"), [
    ("OH-SO73-C", "OH-SO73-C is not a part of this kit: the letter O stands where the label has the digit 0. "
                  "Choose below, or look at the label again.", "OH-S073-C"),
    ("OH-SO73", "OH-SO73 is not a part of this kit: the letter O stands where the label has the digit 0. "
                "Choose below, or look at the label again.", "OH-S073-C"),
    ("OH-S073-D", "The check character D does not belong to OH-S073, which ends in C: one character is wrong. "
                  "Choose below, or look at the label again.", "OH-S073-C"),
    ("OH-S037-C", "The check character C does not belong to OH-S037, which ends in K: one character is wrong. "
                  "OH-S073-C fits if 7 and 3 are swapped. Choose below, or look at the label again.", "OH-S073-C"),
    ("OS073C", "OS073C is not a part of this kit: a character is missing (H in OHS073C). "
               "Choose below, or look at the label again.", "OH-S073-C"),
    (OTHER, f"{OTHER}: of kit XY, not of this one. Put the part aside, or look at the label again.", None),
    ("S999", "S999 is not a part of this kit: its struts run from S001 to S181. Look at the label again.", None),
    ("hello", "HELLO is not a part ID: allowed is OH, then H or S, a number and a check character, such as OH-H01-6. "
              "Look at the label again.", None),
    (" ", "No ID was given. Type it as printed, for example OH-H01-6.", None),
    ("7" * 301, "That text has 301 characters; a part ID has at most 12. Scan again.", None),
])
def test_what_is_wrong_is_said(kit: Kit, text: str, message: str, nearest: str | None) -> None:
    found = parse_part_id(text, kit)
    assert not found.found
    assert found.message == message
    assert (found.nearest[0].id if found.nearest else None) == nearest


@pytest.mark.parametrize(("typed", "printed"), [("0", "O"), ("1", "I")])
def test_look_alike_check_characters_are_named(kit: Kit, typed: str, printed: str) -> None:
    part = next(part for part in kit.parts if part.id.endswith(f"-{printed}"))
    found = parse_part_id(part.id[:-1] + typed, kit)
    assert found.message == (f"{part.id} ends in the letter {printed}, not in the digit {typed}. "
                             f"Choose it below if that is the part.")
    assert found.nearest[0] is part


@settings(deadline=None)
@given(st.sampled_from(KIT.parts), st.data())
def test_no_single_wrong_character_opens_another_part(part: Part, data: st.DataObject) -> None:
    typed = compact(part.id)
    at = data.draw(st.integers(0, len(typed) - 1))
    other = data.draw(st.sampled_from(ALPHABET.replace(typed[at], "")))
    found = parse_part_id(typed[:at] + other + typed[at + 1:], KIT)
    assert found.part is None
    assert found.message


@settings(deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_answered(text: str) -> None:
    found = parse_part_id(text, KIT)
    assert found.found or found.message
