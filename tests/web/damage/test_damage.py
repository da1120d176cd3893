"""Damage and its answer, photos, another part, mending, release, scrap."""

import hashlib
import io
import struct
import zlib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image
from werkzeug.test import TestResponse

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.log.kinds import DamagedData
from fieldapp.photos.unpack import LONGEST_PX, reencoded
from fieldapp.plan.plan import Plan
from fieldapp.reports.damage import damage_answer

Raised = Callable[[int], None]


def _break(phone: FlaskClient, part: str, **fields: object) -> TestResponse:
    said = {"what": "arm_snapped", "where": "2", "severity": "bad", "key": phone.key(f"/damage/{part}"), **fields}
    return phone.post(f"/damage/{part}", data=said, content_type="multipart/form-data")


def test_the_answer_comes_at_once_with_hold_and_replacement(phone: FlaskClient, raised: Raised, kit: Kit,
                                                            book: SiteBook) -> None:
    raised(25)
    part = book.state.fitted["H22"]
    answer = _break(phone, part)
    assert answer.status_code == 303
    page = phone.get(answer.location)
    assert phone.heading(page).startswith(("Hold ", "Go on.", "Replace ", "Stop."))
    spare = next(p.id for p in kit.parts if p.made_for is None and p.part_class == kit.part(part).part_class)
    assert f"Take {spare.split('-')[1]} for H22" in phone.words(page)
    assert phone.post("/other/H22", data={"key": "k" * 20, "part": spare}).status_code == 303
    assert book.state.allocation["H22"] == spare
    assert f"Take it down, then fit instead: {spare}" in phone.words("/place/H22")


def test_the_start_page_holds_where_the_answer_says(phone: FlaskClient, raised: Raised, book: SiteBook) -> None:
    raised(25)
    answer = _break(phone, book.state.fitted["H22"])
    heading, start = phone.heading(answer.location), phone.words("/")
    assert heading.startswith("Hold ")
    hubs = heading.removeprefix("Hold ").split(", and do not take ")[0].replace(" and ", ", ").split(", ")
    assert set(hubs) <= set(start.split("Hold ")[1].split(" now.")[0].replace(" and ", ", ").split(", "))
    assert "Damaged in the frame, to be replaced: H22" in start


def test_none_left_says_what_to_make_and_the_new_part_gets_an_id(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    letter = kit.by_place["S073"].part_class
    for number, part in enumerate(p for p in kit.parts if p.part_class == letter and p.kind == "strut"):
        phone.post("/api/entries", json={"entries": [{
            "key": f"missing-{number:012d}", "kind": "missing", "part": part.id, "data": {}}]})
    page = phone.words("/other/S073")
    length = kit.by_place["S073"].cut_length_mm
    assert "No part is left that fits S073." in page
    assert f"Make a strut of class {letter}: cut it {length:.1f} mm long." in page
    answer = phone.post("/make", data={"key": "k" * 20, "what": f"strut {letter}", "place": "s073"})
    assert answer.status_code == 303
    made = book.state.entries[-1].part
    assert made is not None
    assert book.state.allocation["S073"] == made
    assert made in phone.words(answer.location)
    assert f"Labels to print {made}" in phone.words("/"), "the laptop's start page leads to what a phone asked for"
    phone.post(f"/label/{made}", data={"key": "l" * 20})
    assert "Labels to print" not in phone.words("/")
    sheet = phone.get(f"/label/{made}/labels.pdf?start=2")
    assert sheet.mimetype == "application/pdf"
    assert sheet.data.startswith(b"%PDF")
    refused = phone.get(f"/label/{made}/labels.pdf?start=99")
    assert refused.status_code == 422


def _photo(**options: object) -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "MAKER OF THE PHONE"
    exif[0x0112] = 6            # turned: to be shown upright
    exif.get_ifd(0x8825)[1] = "N"
    Image.effect_noise((2400, 1200), 60).convert("RGB").save(out, "JPEG", exif=exif, comment=b"SECRET WORDS")
    return out.getvalue()


def test_a_photo_is_kept_upright_and_bare_under_its_digest(phone: FlaskClient, kit: Kit, app: Flask,
                                                           book: SiteBook, tmp_path: Path) -> None:
    part = kit.by_place["H22"].id
    assert b"MAKER" in _photo()
    answer = _break(phone, part, photo=(io.BytesIO(_photo()), "IMG_1.jpg"))
    digest = str(book.state.entries[-1].data["photo"])
    kept = (tmp_path / "photos" / f"{digest}.jpg").read_bytes()
    assert hashlib.sha256(kept).hexdigest() == digest
    picture = Image.open(io.BytesIO(kept))
    assert picture.size == (LONGEST_PX // 2, LONGEST_PX)
    assert not picture.getexif()
    assert b"MAKER" not in kept
    assert b"SECRET" not in kept
    assert f"/photos/{digest}.jpg" in phone.get(answer.location).text
    assert phone.get(f"/photos/{digest}.jpg").data == kept
    stranger = phone.get(f"/photos/{digest}.jpg", environ_overrides={"REMOTE_ADDR": "10.0.0.9"})
    assert (stranger.status_code, stranger.location) == (303, "/join")


def _bomb() -> bytes:
    """A PNG of 40000 × 40000 pixels, a few hundred bytes long."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    head = struct.pack(">IIBBBBB", 40000, 40000, 1, 0, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 999)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


@pytest.mark.parametrize(("data", "words"), [
    (_bomb(), "The picture has too many pixels: a JPEG may have 60 million"), (b"<script>", "That file is no picture"),
    (b"\0\0\0\x18ftypheic" + b"\0" * 40, "This phone sent a HEIC picture"),
    (_photo()[:9000], "The picture arrived incomplete or damaged.")])
def test_a_bad_photo_is_refused_and_nothing_else_is_lost(phone: FlaskClient, kit: Kit, book: SiteBook, data: bytes,
                                                         words: str) -> None:
    answer = _break(phone, kit.by_place["H22"].id, photo=(io.BytesIO(data), "x.jpg"), words="stepped on")
    assert answer.status_code == 409
    page = phone.words(answer)
    assert words in page
    assert "Or send it without a photo: nothing else of this was lost." in page
    assert ">stepped on</textarea>" in answer.text
    assert book.last_number == 0


def test_reencoding_is_the_same_for_the_same_photo() -> None:
    data = _photo()
    assert reencoded(data) == reencoded(data)


@pytest.mark.parametrize("name", ["../log.sqlite", "a" * 64, "A" * 64, "..%2f..%2flog"])
def test_only_photos_are_served(phone: FlaskClient, name: str) -> None:
    assert phone.get(f"/photos/{name}.jpg").status_code == 404


def test_mended_released_with_a_name_then_watched(phone: FlaskClient, chief: FlaskClient, kit: Kit,
                                                  book: SiteBook) -> None:
    part = kit.by_place["H22"].id
    _break(phone, part)
    assert "Quarantined, to be mended or scrapped" in phone.words("/watched")
    refused = chief.press(f"/release/{part}", f"/release/{part}", name="inspector")
    assert "has damage that nobody has logged as mended" in chief.words(refused)
    form = {"how": "cleat_and_glue", "by": "carpenter", "where": "2", "wait_h": "0", "share": "70"}
    assert phone.press(f"/repair/{part}", f"/repair/{part}", **form).status_code == 303
    assert book.state.parts[part].capacity == ((2, 0.7),)
    assert "This needs the chief." in phone.words(f"/release/{part}")
    assert chief.press(f"/release/{part}", f"/release/{part}", name="inspector").status_code == 303
    assert book.state.parts[part].condition == "watch"
    assert "Usable, to be watched" in phone.words("/watched")
    assert "Watch it: arm 2 snapped (bad), mended" in phone.words(f"/P/{part}")
    assert f"{part} repaired: cleat and glue, arm 2, carpenter" in phone.words("/log")
    assert "OH-H22-T released for use: inspector" in phone.words(f"/history/{part}")


def test_a_time_is_meant_in_the_laptops_zone_and_a_bad_one_is_asked_back(phone: FlaskClient, kit: Kit,
                                                                        book: SiteBook) -> None:
    part = kit.by_place["H22"].id
    form = {"how": "dried", "by": "carpenter", "where": "", "usable_from": "2026-09-12T16:30"}
    assert phone.press(f"/repair/{part}", f"/repair/{part}", **form).status_code == 303
    usable = book.state.parts[part].usable_from
    assert usable is not None
    assert usable.isoformat() == "2026-09-12T16:30:00+00:00"
    bad = phone.press(f"/repair/{part}", f"/repair/{part}", **{**form, "usable_from": "tea time"})
    assert bad.status_code == 409
    assert "The time must look like 2026-09-12T10:14, got tea time." in phone.words(bad)
    assert 'value="dried" required checked' in bad.text
    hours = phone.press(f"/repair/{part}", f"/repair/{part}", **{**form, "usable_from": "", "wait_h": "4"})
    assert hours.status_code == 303
    later = book.state.parts[part].usable_from
    assert later is not None
    assert later - book.state.entries[-1].at == timedelta(hours=4)


def test_scrapped_for_good_only_when_sure(chief: FlaskClient, kit: Kit, book: SiteBook) -> None:
    part = kit.by_place["S073"].id
    assert chief.press(f"/scrap/{part}", f"/scrap/{part}", reason="split").status_code == 409
    assert book.last_number == 0
    assert chief.press(f"/scrap/{part}", f"/scrap/{part}", reason="split", sure="yes").status_code == 303
    assert "Scrapped" in chief.words(f"/P/{part}")


def test_the_label_alone_is_no_damage(phone: FlaskClient, kit: Kit, plan: Plan, book: SiteBook) -> None:
    part = kit.by_place["S073"].id
    answer = _break(phone, part, what="label_gone", where="", severity="unsure")
    assert phone.heading(answer.location) == "Only the label: print a new one."
    assert phone.press(f"/label/{part}", f"/label/{part}").status_code == 303
    assert not book.state.parts[part].label_gone


def test_numbers_decide_over_a_slight_crack_and_a_released_part_has_no_old_answer(
        phone: FlaskClient, chief: FlaskClient, raised: Raised, book: SiteBook) -> None:
    raised(18)
    part = book.state.fitted["H01"]
    answer = _break(phone, part, what="arm_cracked", where="1", severity="slight")
    found = damage_answer(book.site, book.state, part, damage=DamagedData(what="arm_cracked", severity="slight", arm=1),
                          now=datetime(2026, 9, 12, 11, tzinfo=UTC))
    assert (found.verdict, found.stays_out) == ("hold and replace", True), "numbers decide, not the word"
    assert "exchange" in phone.get(answer.location).text
    answer = _break(phone, part, what="arm_cracked", where="2", severity="bad")
    chief.press(f"/release/{part}", f"/release/{part}", name="inspector", words="looked at it")
    after = phone.get(answer.location)
    assert (after.status_code, after.location) == (303, f"/p/{part}"), "its part's page says what is true now"
