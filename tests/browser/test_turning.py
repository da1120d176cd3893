"""The picture that can be turned: by finger, mouse and keys, a tap opens the part; the still one stays for the rest."""

from playwright.sync_api import expect

from fieldapp.prints.pocket import write_pocket

SHOWN = "() => document.querySelector('canvas').toDataURL()"


def _painted(page, path):
    page.goto(path)
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")
    page.wait_for_selector(".turns canvas")
    page.wait_for_timeout(200)
    return page.locator("canvas").first


def _at(canvas, share_x, share_y):
    box = canvas.bounding_box()
    return box["x"] + share_x * box["width"], box["y"] + share_y * box["height"]


def test_it_is_turned_tapped_and_still_there_on_paper(site, laptop):
    address, _, _ = site
    canvas = _painted(laptop, f"{address}/place/H22")
    laptop.get_by_role("button", name="Whole frame").first.click()
    laptop.wait_for_timeout(100)
    first = laptop.evaluate(SHOWN)
    canvas.scroll_into_view_if_needed()
    laptop.mouse.move(*_at(canvas, 0.3, 0.5))
    laptop.mouse.down()
    laptop.mouse.move(*_at(canvas, 0.7, 0.6), steps=3)
    laptop.mouse.up()
    laptop.wait_for_timeout(100)
    turned = laptop.evaluate(SHOWN)
    assert turned != first
    assert "/place/H22" in laptop.url
    canvas.press("ArrowLeft")
    laptop.wait_for_timeout(100)
    assert laptop.evaluate(SHOWN) != turned
    laptop.get_by_role("button", name="Whole frame").first.click()
    laptop.wait_for_timeout(100)
    assert laptop.evaluate(SHOWN) == first
    laptop.emulate_media(media="print")
    expect(canvas).to_be_hidden()
    expect(laptop.locator(".turning > svg").first).to_be_visible()


def test_a_tap_opens_the_part_under_the_finger_and_a_scan_says_where_one_stands(site, new_phone):
    address, book, _ = site
    phone = new_phone()
    _painted(phone, f"{address}/P/{book.state.allocation['H22']}")
    canvas = _painted(phone, f"{address}/place/S001")
    phone.get_by_role("button", name="From where I stand (H22)").click()
    phone.evaluate("document.querySelector('.acts')?.remove()")
    phone.wait_for_timeout(200)
    canvas.scroll_into_view_if_needed()
    seen = phone.evaluate("""async () => {
        const at = document.querySelector('script[src*="turning.js"]').src;
        const shape = await import(at.replace('turning.js', 'turning_shape.js'));
        const view = await import(at.replace('turning.js', 'turning_view.js'));
        const data = await (await fetch(document.querySelector('[data-turning]').dataset.address)).json();
        const frame = shape.shapeOf(data);
        const canvas = document.querySelector('canvas');
        const eye = shape.cameraOf(frame, view.standingView(frame, 'H22'), canvas.clientWidth, canvas.clientHeight);
        const row = data.hubs.indexOf('H22');
        return shape.landing(eye, ...data.at.slice(3 * row, 3 * row + 3)); }""")
    box = canvas.bounding_box()
    assert abs(seen[0] - box["width"] / 2) < 2        # it is straight ahead
    phone.touchscreen.tap(box["x"] + seen[0], box["y"] + seen[1])
    phone.wait_for_url("**/place/H22")


def test_without_scripts_and_in_the_pocket_copy(site, new_phone, tmp_path):
    address, book, _ = site
    plain = new_phone(java_script_enabled=False)
    plain.goto(f"{address}/place/H22")
    plain.get_by_text("Ends, order, limits, pictures").click()
    expect(plain.locator(".turning > svg").first).to_be_visible()
    expect(plain.locator(".turning-acts").first).to_be_hidden()
    phone, trouble = new_phone(), []
    phone.on("pageerror", lambda error: trouble.append(str(error)))
    pocket = write_pocket(book.site.kit, book.site.plan, tmp_path)
    phone.goto(f"{pocket.as_uri()}#S100")
    canvas = phone.locator("#S100 canvas")
    expect(canvas).to_be_visible()
    phone.wait_for_timeout(200)
    phone.touchscreen.tap(*_at(canvas, 0.5, 0.4))
    phone.wait_for_timeout(200)
    offered = phone.locator("#S100 [data-choice] a")
    assert trouble == []
    assert "#S100" not in phone.url or offered.count() > 1
