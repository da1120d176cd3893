"""Live scanning by a fake camera that holds a printed label; joining by the poster's square; HTTPS beside HTTP."""

import shutil
import threading
from datetime import UTC, datetime

import pytest
from at_the_laptop import at_the_laptop
from PIL import Image
from playwright.sync_api import expect

from fieldapp.kit.site_key import SiteKey
from fieldapp.log.opening import open_book
from fieldapp.web.common.addresses import HTTPS_OPEN
from fieldapp.web.common.rights import Rights
from fieldapp.web.server import create_app
from fieldapp.web.server.https import open_secure, site_certificate
from fieldapp.web.server.serve import open_server
from labels.symbol import make_symbol

CODE = "K7M4QP"
CAMERA = ("--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream")


class FromPhones:
    """Lets a browser on this machine look like a phone: its address is the one that the test's header names."""

    def __init__(self, app):
        self.app = app

    def __call__(self, environ, start_response):
        environ["REMOTE_ADDR"] = environ.get("HTTP_X_TEST_ADDRESS", environ["REMOTE_ADDR"])
        return self.app(environ, start_response)


@pytest.fixture
def joinable(made_demo, tmp_path):
    """The demo kit on HTTP and HTTPS, where only phones that joined may write; gives (http, https, book)."""
    folder = tmp_path / "orchard-hall"
    shutil.copytree(made_demo, folder)
    with open_book(folder) as book:
        app = create_app(book, held=Rights(SiteKey("s" * 64, CODE)))
        at_the_laptop(app)
        app.wsgi_app = FromPhones(app.wsgi_app)
        certificate = site_certificate(folder, ("127.0.0.1", "localhost"), datetime.now(UTC))
        secure = open_secure(app, "127.0.0.1", 0, certificate)
        plain = open_server(app, 0, host="127.0.0.1")
        app.config[HTTPS_OPEN] = f"https://127.0.0.1:{secure.effective_port}"
        runs = [threading.Thread(target=run, daemon=True) for run in (secure.run, plain.run)]
        for run in runs:
            run.start()
        yield f"http://127.0.0.1:{plain.effective_port}", app.config[HTTPS_OPEN], book
        plain.stop()
        secure.stop()
        for run in runs:
            run.join(timeout=10)


def _video(text, path):
    """One picture of a label over and over, as the fake camera takes it."""
    symbol = make_symbol(text, "M")
    modules = Image.new("L", (symbol.full_size, symbol.full_size), 255)
    for y, row in enumerate(symbol.rows):
        for x, dark in enumerate(row):
            if dark:
                modules.putpixel((x + 4, y + 4), 0)
    picture = Image.new("RGB", (640, 480), (120, 90, 60))
    picture.paste(modules.resize((300, 300), Image.Resampling.NEAREST).rotate(4, fillcolor=255), (170, 90))
    picture.save(path.with_suffix(".jpg"), quality=90)
    path.write_bytes(path.with_suffix(".jpg").read_bytes() * 30)
    return path


@pytest.fixture
def phone_with_camera(launch, tmp_path):
    """Call it with what the camera sees; gives a page of a phone whose certificate warning was clicked away."""
    browsers = []

    def make(text):
        video = _video(text, tmp_path / "camera.mjpeg")
        browser = launch(*CAMERA, f"--use-file-for-fake-video-capture={video}")
        browsers.append(browser)
        return browser.new_context(viewport={"width": 360, "height": 740}, is_mobile=True, has_touch=True,
                                   ignore_https_errors=True, permissions=["camera"]).new_page()

    yield make
    for browser in browsers:
        browser.close()


def test_a_label_in_front_of_the_camera_opens_its_part(joinable, phone_with_camera):
    _, secure, book = joinable
    part = book.site.kit.by_place["S073"].id
    phone = phone_with_camera(f"http://10.0.0.1:8000/P/{part}.1")
    phone.goto(f"{secure}/live")
    phone.wait_for_url(f"**/P/{part}.1", timeout=20_000)
    expect(phone.locator(".card .hold").first).to_contain_text("The end in your hand")


def test_over_plain_http_a_phone_is_told_where_live_scanning_is_and_what_it_will_ask(joinable, new_phone):
    plain, secure, _ = joinable
    phone = new_phone()
    phone.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    phone.goto(f"{plain}/live")
    expect(phone.get_by_role("link", name=secure)).to_be_visible()
    expect(phone.locator("main")).to_contain_text("The phone warns that the connection is not private")
    expect(phone.locator("[data-live-scan]")).to_be_hidden()


def test_a_phone_joins_and_what_it_pressed_before_goes_out(joinable, new_phone, laptop):
    plain, _, book = joinable
    hub = book.site.plan.steps[0].hub
    phone = new_phone(extra_http_headers={"X-Test-Address": "10.0.0.23"})
    phone.goto(f"{plain}/place/{hub}")
    expect(phone.locator("[role=note]")).to_contain_text("This phone may only read.")
    phone.get_by_role("button", name="Fitted").first.click()
    expect(phone.locator("h1")).to_contain_text("To write things down, join.")
    assert book.last_number == 0
    laptop.goto(f"{plain}/join")
    expect(laptop.locator(".code")).to_have_text(CODE)
    phone.goto(f"{plain}/JOIN/{CODE}")
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.locator("main")).to_contain_text("this phone may write things down")
    for _ in range(100):        # what waited goes out once the page has loaded
        if book.last_number:
            break
        phone.wait_for_timeout(100)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=10_000)
    assert [entry.place for entry in book.entries()] == [hub]


def test_the_pocket_copy_finds_places_without_the_laptop(joinable, new_phone):
    plain, _, book = joinable
    part = book.site.kit.by_place["S073"].id
    phone = new_phone()
    faults = []
    phone.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    phone.goto(f"{plain}/pocket")
    phone.context.set_offline(True)
    for typed, shown in ((part, "S073"), ("s73", "S073"), ("h22", "H22"), (f"http://10.0.0.1/P/{part}.1", "S073")):
        phone.fill("#id", typed)
        phone.get_by_role("button", name="Show it").click()
        expect(phone.locator(f"#{shown}")).to_be_visible()
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    phone.fill("#id", "S999")
    phone.get_by_role("button", name="Show it").click()
    expect(phone.locator("#said")).to_contain_text("No such part in this kit.")
    assert faults == []
