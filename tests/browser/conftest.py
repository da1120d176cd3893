"""A served demo kit and a real Chromium with two phones and a laptop."""

import os
import shutil
import threading
from contextlib import contextmanager
from pathlib import Path

import pytest
from at_the_laptop import at_the_laptop

from fieldapp.demo import write_demo
from fieldapp.demo.first_raise import tell_first_raise
from fieldapp.log.opening import open_book
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server

PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 800}
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]
CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


def pytest_collection_modifyitems(items):
    here = Path(__file__).parent
    for item in items:
        if here in Path(item.fspath).parents:
            item.add_marker(pytest.mark.browser)
            if not CHROMIUM:
                item.add_marker(pytest.mark.skip(reason="no Chromium here: install it or set CHROMIUM to its path"))


@pytest.fixture(scope="session")
def made_demo(made_once):
    """The demo kit as the command writes it, made once, with an empty log."""
    return made_once("site", lambda folder: write_demo(folder, past=False))


@pytest.fixture(scope="module", autouse=True)
def _few_answers(first_answer_only, small_ways):
    """For all pages here: what they look like does not depend on all losses and ways of the demo."""
    with pytest.MonkeyPatch.context() as patch:
        first_answer_only(patch)
        small_ways(patch)
        yield


@contextmanager
def served(app):
    """Its address, while it is served on a free port."""
    server = open_server(app, 0, host="127.0.0.1")
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    app.extensions[BESIDE].stop()
    thread.join(timeout=10)


@pytest.fixture
def site(made_demo, tmp_path):
    """A fresh copy of the demo kit, served on a free port; gives (address, book, folder)."""
    folder = tmp_path / "orchard-hall"
    shutil.copytree(made_demo, folder)
    with open_book(folder) as book, served(at_the_laptop(create_app(book))) as address:
        yield address, book, folder


@pytest.fixture(scope="session")
def told(made_demo, made_once):
    """The demo with a first raise behind it and half an inspection, told once."""
    def write(folder):
        shutil.copytree(made_demo, folder)
        with open_book(folder) as book:
            tell_first_raise(book)

    return made_once("told", write)


@pytest.fixture
def shed(told, tmp_path):
    """A copy of it, served; gives (address, book, application)."""
    folder = tmp_path / "orchard-hall"
    shutil.copytree(told, folder)
    with open_book(folder) as book:
        app = at_the_laptop(create_app(book))
        with served(app) as address:
            yield address, book, app


@pytest.fixture(scope="module")
def seen_shed(told, tmp_path_factory):
    """The same for tests that only look: one server for all of them; gives (address, book)."""
    folder = tmp_path_factory.mktemp("seen") / "orchard-hall"
    shutil.copytree(told, folder)
    with open_book(folder) as book, served(at_the_laptop(create_app(book))) as address:
        yield address, book


@pytest.fixture(scope="session")
def playwright():
    """What drives all browsers."""
    from playwright.sync_api import sync_playwright  # only here, so that collecting needs no browser

    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def launch(playwright):
    """Call it for a browser, with further flags."""
    return lambda *flags: playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *flags])


@pytest.fixture
def lasting_phone(playwright, tmp_path):
    """Call it for the page of a phone whose browser keeps what it knows when it is closed, and again to reopen it."""
    contexts = []

    def opened():
        context = playwright.chromium.launch_persistent_context(
            tmp_path / "lasting phone", executable_path=CHROMIUM, args=FLAGS, viewport=PHONE, has_touch=True,
            is_mobile=True)
        context.set_default_timeout(10_000)
        contexts.append(context)
        return context.pages[0] if context.pages else context.new_page()

    yield opened
    contexts[-1].close()


@pytest.fixture(scope="session")
def chromium(launch):
    browser = launch()
    yield browser
    browser.close()


@pytest.fixture
def new_phone(chromium):
    """Call it for one more phone, each with a memory of its own."""
    contexts = []

    def make(**options):
        context = chromium.new_context(viewport=PHONE, device_scale_factor=2, has_touch=True, is_mobile=True, **options)
        context.set_default_timeout(10_000)
        contexts.append(context)
        return context.new_page()

    yield make
    for context in contexts:
        context.close()


@pytest.fixture
def laptop(chromium):
    context = chromium.new_context(viewport=LAPTOP)
    yield context.new_page()
    context.close()
