"""From a printed sheet to a fitted part: two phones at once, each with a photo of a label."""

import io
import re

import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import expect

DPI = 200


@pytest.fixture
def photo_of(made_demo, tmp_path):
    """A photo of one label of the printed sheet, as a phone would upload it: JPEG, a little askew."""

    def take(words):
        document = pypdfium2.PdfDocument(made_demo / "paper" / "labels.pdf")
        (left, bottom), page = max(_finds(document, words), key=lambda find: find[2])[:2]
        whole = page.render(scale=DPI / 72).to_pil()
        x, y = left * DPI / 72, whole.height - bottom * DPI / 72
        label = whole.crop((int(x - 120), int(y - 150), int(x + 700), int(y + 260)))
        turned = label.convert("RGB").rotate(7, Image.Resampling.BICUBIC, expand=True, fillcolor=(210, 200, 190))
        out = io.BytesIO()
        turned.save(out, "JPEG", quality=80)
        path = tmp_path / "photo.jpg"
        path.write_bytes(out.getvalue())
        return path

    return take


def _finds(document, words):
    """(left and bottom of the first letter, page, letter height) wherever a sheet says `words`."""
    for page in document:
        text = page.get_textpage()
        search = text.search(words)
        while found := search.get_next():
            left, bottom, _, top = text.get_charbox(found[0])
            yield (left, bottom), page, top - bottom


def _scan(page, address, photo):
    page.goto(address)
    page.set_input_files("input[type=file]", photo)
    page.wait_for_url(re.compile(r"/P/", re.IGNORECASE))


def test_two_phones_scan_fit_and_see_each_other(site, photo_of, new_phone):
    address, book, _ = site
    plan = book.site.plan
    first, second = plan.steps[0].hub, plan.steps[1].hub
    ids = [book.site.kit.by_place[place].id for place in (first, second)]
    phones = [new_phone(), new_phone()]
    for phone, part_id in zip(phones, ids, strict=True):
        _scan(phone, address, photo_of(part_id))
        expect(phone.locator(".tag")).to_contain_text(part_id.split("-")[1])
    for phone in phones:
        phone.get_by_role("button", name="Fitted").first.click()
        expect(phone.locator("main")).to_contain_text("Written down:")
    for phone in phones:
        phone.goto(address)
        expect(phone.locator("figcaption").first).to_contain_text("2 of")
    assert set(book.state.fitted) == {first, second}


def test_a_strut_label_says_which_end_is_in_the_hand(site, photo_of, new_phone):
    address, book, _ = site
    strut = book.site.plan.steps[3].struts[0]
    place = book.site.kit.frame.strut(strut.strut)
    phone = new_phone()
    _scan(phone, address, photo_of(f"this end: {place.end_2.hub} arm {place.end_2.arm}"))
    expect(phone.locator(".card .hold").first).to_contain_text(f"arm {place.end_2.arm} of {place.end_2.hub}")
    assert phone.url.upper().endswith(".2")


def test_a_finger_that_stays_where_it_pressed_writes_nothing_on_the_next_card(site, new_phone):
    address = site[0]
    phone = new_phone(bypass_csp=True)
    phone.add_init_script("""addEventListener("DOMContentLoaded", () => {       // its second does not pass
        const paused = document.createElement("style");
        paused.textContent = "* { animation-play-state: paused !important; }";
        document.head.append(paused); });""")
    phone.goto(f"{address}/step")
    phone.locator(".card button.go").click()
    phone.wait_for_url("**done=**")
    box = phone.locator(".card button.go").bounding_box()
    spot = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    under = f"document.elementFromPoint({spot[0]}, {spot[1]}).closest('button') !== null"
    assert not phone.evaluate(under)
    phone.evaluate("document.documentElement.dataset.renewed = ''")        # as a page that was only looked at again
    assert phone.evaluate(under)
