"""A code that a part carries from elsewhere: kept on its page, then it opens the part; asked where two have it."""

import io
from collections.abc import Callable

from flask.testing import FlaskClient
from PIL import Image

from fieldapp.kit.kit import Kit

FOREIGN = "https://example.org/rental/pole?no=17"
BAR = "4006381333931"


def test_a_foreign_symbol_is_kept_and_then_opens_the_part(phone: FlaskClient, other_phone: FlaskClient, kit: Kit,
                                                           label: Callable[..., Image.Image],
                                                           as_jpeg: Callable[[Image.Image], bytes]) -> None:
    part = kit.by_place["S073"].id
    picture = as_jpeg(label(FOREIGN))
    assert phone.post("/photo", data={"photo": (io.BytesIO(picture), "a.jpg")}).status_code == 404
    assert "It carries a code or a mark of its own" in phone.words(f"/more/{part}")
    shown = phone.post(f"/code/{part}/photo", data={"photo": (io.BytesIO(picture), "a.jpg")})
    assert f"The photo says: {FOREIGN}" in phone.words(shown)
    kept = phone.press(f"/code/{part}", f"/code/{part}", code=FOREIGN, read="photo")
    assert kept.status_code == 303
    assert f"Kept so far: {FOREIGN}" in phone.words(kept.location)
    found = other_phone.post("/photo", data={"photo": (io.BytesIO(picture), "a.jpg")})
    assert (found.status_code, found.location.lower()) == (303, f"/p/{part}".lower())
    assert "keeps a code that it carries" in phone.words(f"/history/{part}")


def test_a_mark_is_typed_twice_and_two_parts_with_one_code_are_asked(phone: FlaskClient, kit: Kit) -> None:
    one, other = kit.by_place["S001"].id, kit.by_place["S002"].id
    once = phone.press(f"/code/{one}", f"/code/{one}", code="red 7")
    assert once.status_code == 409
    assert "was not typed twice alike" in phone.words(once)
    assert phone.press(f"/code/{one}", f"/code/{one}", code="red 7", again="RED 7").status_code == 303
    assert phone.get("/find?q=red 7").location == f"/p/{one}"
    asked = phone.press(f"/code/{other}", f"/code/{other}", code="red 7", again="red 7")
    assert asked.status_code == 409
    assert "It is OH-S001" in phone.words(asked)
    assert phone.press(f"/code/{other}", f"/code/{other}", code="red 7", again="red 7",
                       others="yes").status_code == 303
    both = phone.get("/find?q=red+7")
    assert both.status_code == 300
    assert "<h1>Which one?</h1>" in both.text
    assert "2 parts carry that code. Which one is it?" in phone.words(both)
    assert one in both.text
    assert other in both.text


def test_a_bar_code_number_with_its_check_digit_is_typed_once_and_an_id_is_no_code(phone: FlaskClient,
                                                                                   kit: Kit) -> None:
    part = kit.by_place["S003"].id
    assert phone.press(f"/code/{part}", f"/code/{part}", code=BAR).status_code == 303
    assert phone.get(f"/find?q={BAR}").location == f"/p/{part}"
    own = phone.press(f"/code/{part}", f"/code/{part}", code="S005", again="S005")
    assert "reads as an ID of this kit" in phone.words(own)
