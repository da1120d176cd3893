"""The laptop's program and a phone's browser are killed by signals: open pages recover, what was kept arrives once."""

import contextlib
import os
import shutil
import signal
import socket
import time
from pathlib import Path

import pytest
from laptops import COMMAND, begun
from playwright.sync_api import Error, expect

from fieldapp.kit.site_key import site_key
from fieldapp.log.opening import open_book

START_S = 60.0
OUT = "[data-out-of-reach]"


@pytest.fixture
def laptop_program(made_demo, tmp_path):
    """`raisebook serve` as a process of its own; gives (address, start, kill, folder)."""
    folder = tmp_path / "orchard-hall"
    shutil.copytree(made_demo, folder)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    running = []

    def start():
        running.append(begun(COMMAND, "serve", folder, "--host", "127.0.0.1", "--port", port))
        until = time.monotonic() + START_S
        while time.monotonic() < until:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
                return
            time.sleep(0.05)
        raise AssertionError("the server did not start")

    def kill():
        running[-1].kill()
        running[-1].wait(timeout=10)

    start()
    yield f"http://127.0.0.1:{port}", start, kill, folder
    kill()


def _battery_ends(memory):
    """Kill every process that has this memory open, each by its own number."""
    found = [process for process in Path("/proc").glob("[0-9]*") if _opened(process, memory)]
    assert found
    for process in found:
        with contextlib.suppress(ProcessLookupError):
            os.kill(int(process.name), signal.SIGKILL)
    for left in memory.glob("Singleton*"):
        left.unlink()


def _join(phone, address, folder):
    """Scan the poster, and press the button that it asks for."""
    phone.goto(f"{address}/JOIN/{site_key(folder).join_code}")
    button = phone.get_by_role("button", name="Join", exact=True)
    if button.count():
        button.click()


def _opened(process, memory):
    with contextlib.suppress(OSError):
        return f"--user-data-dir={memory}".encode() in (process / "cmdline").read_bytes().split(b"\0")
    return False


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="processes are found by /proc, which is not here")
def test_laptop_and_phone_die_and_nothing_that_was_kept_is_lost(laptop_program, lasting_phone, new_phone, tmp_path):
    address, start, kill, folder = laptop_program
    watching, phone = new_phone(), lasting_phone()
    for each in (watching, phone):
        _join(each, address, folder)
    watching.goto(address)
    phone.goto(f"{address}/find")
    hubs = ["H01", "H02", "H15"]
    kill()
    phone.evaluate("dispatchEvent(new Event('focus'))")
    expect(phone.locator(OUT)).to_be_visible(timeout=15_000)
    for count, hub in enumerate(hubs, start=1):
        phone.fill("#quick-id", hub)
        phone.locator(OUT).get_by_role("button", name="Fitted").click()
        expect(phone.locator("[data-waiting] [data-count]")).to_contain_text(str(count))
    _battery_ends(tmp_path / "lasting phone")
    with contextlib.suppress(Error):
        phone.context.close()
    expect(watching.locator(OUT)).to_be_visible(timeout=15_000)
    start()
    expect(watching.locator(OUT)).to_be_hidden(timeout=10_000)
    again = lasting_phone()
    _join(again, address, folder)       # a browser writes its cookies to the disk up to half a minute late
    again.goto(address)
    expect(again.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    expect(watching.locator("figcaption").first).to_contain_text("3 of", timeout=10_000)
    kill()
    with open_book(folder) as book:
        assert [entry.place for entry in book.entries()] == hubs
