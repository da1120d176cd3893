"""Codes that parts carry from elsewhere: kept once, read surely, no IDs of the kit, asked where two have one."""

import pytest

from fieldapp.log.codes import checks_itself, parts_with_code
from fieldapp.log.entry import Refusal

ONE, OTHER = "OH-S001-7", "OH-H01-6"
BAR = "4006381333931"


@pytest.mark.parametrize(("number", "right"), [
    ("6291041500213", True), ("036000291452", True), ("96385074", True), ("6291041500214", False), ("12345", False),
])
def test_check_digits_of_bar_codes(number, right):
    """Worked numbers of the open web (GS1's own check digit page among them), from memory."""
    assert checks_itself(number) is right


def test_a_wrong_digit_always_shows():
    for at in range(len(BAR)):
        for digit in set("0123456789") - {BAR[at]}:
            assert not checks_itself(BAR[:at] + digit + BAR[at + 1:])


def test_typed_twice_alike_unless_it_checks_itself(crew):
    refused = crew.ask("code_kept", ONE, code="barn 7", again="barn 1")
    assert isinstance(refused, Refusal)
    assert refused.message == "'barn 7' has no check digit and was not typed twice alike."
    crew.done("code_kept", ONE, code="barn 7", again="Barn  7")
    crew.done("code_kept", ONE, code=BAR)
    crew.done("code_kept", ONE, code="https://example.org/q?a=1", read="photo")
    assert crew.book.state.parts[ONE].codes == ("barn 7", BAR, "https://example.org/q?a=1")
    assert parts_with_code(crew.book.state, " BARN7 ") == (ONE,)
    assert crew.ask("code_kept", ONE, code=BAR).code == "kept_already"


def test_an_id_of_the_kit_is_no_code_and_two_parts_with_one_code_are_asked(crew):
    assert crew.ask("code_kept", ONE, code="S002", again="S002").code == "own_id"
    crew.done("code_kept", ONE, code=BAR)
    assert crew.ask("code_kept", OTHER, code=BAR).message == "the code '4006381333931' is kept for S001 already."
    kept = crew.done("code_kept", OTHER, code=BAR, others=True)
    assert parts_with_code(crew.book.state, BAR) == (OTHER, ONE)
    crew.done("withdrawn", entry=kept.key, reason="the other one")
    assert parts_with_code(crew.book.state, BAR) == (ONE,)
