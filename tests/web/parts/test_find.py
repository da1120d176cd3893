"""Ways in: typing, a photo of the label, walking through the rings."""

import io
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from PIL import Image, ImageDraw, ImageFilter
from werkzeug.test import TestResponse

from fieldapp.kit.ids import format_id
from fieldapp.kit.kit import Kit
from fieldapp.photos.limits import MAX_PHOTO_BYTES
from fieldapp.photos.unpack import Reading
from fieldapp.plan.plan import Plan
from fieldapp.web.parts import find
from fieldapp.web.photos.reading import photo_words, read_photo

Draw = Callable[..., Image.Image]
Encode = Callable[[Image.Image], bytes]


def send(phone: FlaskClient, data: bytes, name: str = "photo.jpg") -> TestResponse:
    return phone.post("/photo", data={"photo": (io.BytesIO(data), name)})


def address(kit: Kit, place: str, end: str = "") -> str:
    return f"http://10.0.0.1:8000/P/{kit.by_place[place].id}{end}"


def turned(picture: Image.Image) -> Image.Image:
    return picture.rotate(37, expand=True, fillcolor=(120, 90, 60))


def blurred(picture: Image.Image) -> Image.Image:
    return picture.filter(ImageFilter.GaussianBlur(2.5))


def dirty(picture: Image.Image) -> Image.Image:
    spot = picture.copy()
    x, y = picture.width // 2, picture.height // 2
    ImageDraw.Draw(spot).ellipse((x + 10, y + 10, x + 38, y + 38), fill=(70, 50, 30))
    return spot


def dim(picture: Image.Image) -> Image.Image:
    return picture.point(lambda value: value // 4 + 10)


@pytest.mark.parametrize("spoil", [lambda p: p, turned, blurred, dirty, dim])
def test_a_photo_of_a_label_leads_to_part_and_end(phone: FlaskClient, kit: Kit, label: Draw, as_jpeg: Encode,
                                                  spoil: Callable[[Image.Image], Image.Image]) -> None:
    picture = as_jpeg(spoil(label(address(kit, "S073", ".2"))))
    answer = send(phone, picture)
    assert answer.status_code == 303
    assert answer.location == f"/P/{kit.by_place['S073'].id}.2"


@pytest.mark.parametrize(("text", "page"), [
    ("http://10.0.0.1:8000/RING/2", "/RING/2"), ("http://192.168.7.1/ring/2", "/RING/2"), ("http://10.0.0.1:8000", "/"),
])
def test_a_photo_of_a_bag_or_box_leads_to_its_ring_or_to_the_start(phone: FlaskClient, label: Draw, as_jpeg: Encode,
                                                                   text: str, page: str) -> None:
    answer = send(phone, as_jpeg(label(text)))
    assert (answer.status_code, answer.location.upper()) == (303, page)
    assert phone.get(answer.location).status_code == 200
    assert phone.get("/RING/2").status_code == 200


def test_the_server_itself_unpacks_no_photo(phone: FlaskClient, kit: Kit, label: Draw, as_jpeg: Encode,
                                            monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither of a label nor of damage: whatever unpacks one would keep its memory, or die over it."""
    picture, part = as_jpeg(label(address(kit, "S073"))), kit.by_place["H22"].id
    monkeypatch.setattr(Image, "open", None)
    assert send(phone, picture).status_code == 303
    assert phone.post("/live", data=picture).json["url"]
    said = {"what": "arm_snapped", "where": "2", "severity": "bad", "key": "k" * 22}
    answer = phone.post(f"/damage/{part}", data={**said, "photo": (io.BytesIO(picture), "p.jpg")})
    assert "/photos/" in phone.get(answer.location).text


def test_twelve_megapixels_with_a_small_label(phone: FlaskClient, kit: Kit, label: Draw, as_jpeg: Encode) -> None:
    picture = label(address(kit, "H22"), module_px=14, size=(4032, 3024))
    answer = send(phone, as_jpeg(picture.transpose(Image.Transpose.ROTATE_90)))
    assert answer.location == f"/P/{kit.by_place['H22'].id}"


def test_a_label_whose_address_no_longer_answers_is_still_read(phone: FlaskClient, kit: Kit, label: Draw,
                                                               as_jpeg: Encode) -> None:
    picture = as_jpeg(label(f"http://barn.lan/old/P/{kit.by_place['S001'].id}.1"))
    assert send(phone, picture).location == f"/P/{kit.by_place['S001'].id}.1"


def test_several_labels_in_one_photo_are_offered(phone: FlaskClient, kit: Kit, label: Draw, as_jpeg: Encode) -> None:
    both = Image.new("RGB", (1800, 600))
    for number, place in enumerate(("S001", "S002")):
        both.paste(label(address(kit, place)), (900 * number, 0))
    answer = send(phone, as_jpeg(both))
    assert answer.status_code == 200
    assert "The photo shows several labels." in phone.words(answer)
    assert answer.text.index(kit.by_place["S001"].id) < answer.text.index(kit.by_place["S002"].id)


def test_a_label_of_another_kit_beside_one_of_ours_is_said(phone: FlaskClient, kit: Kit,
                                                           monkeypatch: pytest.MonkeyPatch) -> None:
    other, ours = format_id("ZZ", "strut", 73, width=3), address(kit, "S001")
    for texts, words in (((ours, f"http://10.0.0.9/P/{other}.1"), "Which one do you mean?"), ((other,), "Of kit ZZ")):
        monkeypatch.setattr(find, "read_photo", lambda *_asked, texts=texts: Reading(texts))
        answer = phone.post("/photo", data={}, follow_redirects=True)
        assert words in phone.heading(answer)
        assert f"{other}: of kit ZZ, not of this one." in phone.words(answer)


def test_a_symbol_that_is_not_ours_is_explained(phone: FlaskClient, label: Draw, as_jpeg: Encode) -> None:
    answer = phone.post("/photo", data={"photo": (io.BytesIO(as_jpeg(label("https://example.org/menu"))), "p.jpg")},
                        follow_redirects=True)
    assert answer.status_code == 404
    assert "is not a part ID" in phone.words(answer)


def png(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def whole(kind: str) -> bytes:
    """A sound picture of a format that no phone sends: its decoder is not to be reached."""
    out = io.BytesIO()
    Image.new("L", (60, 60), 250).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(("data", "problem"), [
    (b"", "empty"),
    (b"GIF89a\x01\x00", "not an image"),
    *((whole(kind), "not an image") for kind in ("GIF", "BMP", "TIFF", "PPM")),
    (b"no picture at all" * 9, "not an image"),
    (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "heic"),
    (png(Image.new("L", (900, 600), 10)), "dark"),
    (png(Image.new("L", (900, 600), 250)), "bright"),
    (png(Image.new("L", (900, 600), 128)), "blurred"),
    (png(Image.new("1", (9000, 9000))), "too many pixels"),
])
def test_what_cannot_be_read_says_why_and_what_to_try(phone: FlaskClient, data: bytes, problem: str) -> None:
    answer = send(phone, data)
    assert answer.status_code == 422
    why, then = photo_words(problem)
    assert f"{why} {then}" in phone.words(answer)
    assert "type the ID" in then


def test_a_cut_off_photo_is_said_to_be_incomplete(label: Draw, as_jpeg: Encode) -> None:
    whole = as_jpeg(label("http://10.0.0.1/P/OH-S001-A"))
    assert read_photo(io.BytesIO(whole[: len(whole) // 3])).problem == "broken"


def test_an_upload_beyond_the_limit_is_refused_in_words(phone: FlaskClient) -> None:
    answer = send(phone, b"\xff\xd8" + b"x" * (MAX_PHOTO_BYTES + 70_000))
    assert answer.status_code == 413
    assert phone.heading(answer) == "The photo is larger than 12 MB."


def test_typing_leads_to_the_part_or_explains(phone: FlaskClient, kit: Kit) -> None:
    whole = kit.by_place["S073"].id
    assert phone.get(f"/find?q={whole.lower()}").location == f"/p/{whole}"
    page = phone.get("/find?q=oh+s073", follow_redirects=True)
    assert "The check character was left out: compare the number with the label." in phone.words(page)
    assert phone.get("/find?q=").status_code == 200
    lost = phone.get("/find?q=banana")
    assert lost.status_code == 404
    assert "banana" in phone.words(lost).lower()


def test_walking_through_the_rings_reaches_every_place(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    seen = "".join(phone.get(f"/ring/{ring}").text for ring in range(1, kit.frame.level_count + 1))
    places = [h.name for h in kit.frame.hubs] + [s.name for s in kit.frame.struts]
    assert [name for name in places if f'href="/place/{name}"' not in seen] == []
    assert phone.get("/ring/99").status_code == 404
