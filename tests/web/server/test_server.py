"""The server itself: the port, the words at the start, the stop, what it says of its own address."""

import os
import shutil
import signal
import socket
import sys
import threading
import urllib.request
from pathlib import Path
from types import SimpleNamespace

import pytest
import zxingcpp
from flask import Flask
from laptops import begun
from PIL import Image

from fieldapp.base.errors import ServeError
from fieldapp.web.common.addresses import address_advice, site_address
from fieldapp.web.common.rights import EXTENSION as RIGHTS
from fieldapp.web.server import static_address, static_dir
from fieldapp.web.server.listener import SitePort
from fieldapp.web.server.serve import announced, open_server, opening_words, serve, terminal_symbol

LOOPBACK = "127.0.0.1"


def test_a_port_in_use_is_said_with_what_to_do(app: Flask) -> None:
    with socket.socket() as taken:
        taken.bind((LOOPBACK, 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(ServeError) as caught:
            open_server(app, port, host=LOOPBACK)
    assert str(caught.value) == (f"port {port} is in use by another program, perhaps by a raisebook that still runs. "
                                 f"Stop that one, or start with --port {port + 1}.")


@pytest.mark.parametrize(("host", "port", "words"), [
    (LOOPBACK, 70000, "port must be 0 to 65535, got 70000"),
    ("192.0.2.1", 0, "192.0.2.1 is not an address of this machine"),
])
def test_a_wrong_address_is_said(app: Flask, host: str, port: int, words: str) -> None:
    with pytest.raises(ServeError, match=words):
        open_server(app, port, host=host)


def test_the_production_server_serves_pages_and_refuses_huge_bodies(app: Flask) -> None:
    server = open_server(app, 0, host=LOOPBACK)
    running = threading.Thread(target=server.run, daemon=True)
    running.start()
    try:
        with urllib.request.urlopen(f"http://{LOOPBACK}:{server.effective_port}/") as answer:
            assert answer.status == 200
            assert b"Orchard Hall" in answer.read()
        with socket.create_connection((LOOPBACK, server.effective_port)) as raw:
            raw.sendall(b"POST /photo HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99999999\r\n\r\n")
            said = raw.recv(400)
            assert b" 413 " in said
            assert b"Server: raisebook" in said     # phones take no other's word that a photo is too large
    finally:
        server.close()


SERVE = """
import signal
from flask import Flask
from laptops import begun
from fieldapp.web.common import beside
from fieldapp.web.server.serve import serve
signal.signal(signal.SIGINT, signal.default_int_handler)    # shells let their background jobs ignore it
app = Flask("bare")
app.config["RAISEBOOK_PRACTICE"] = {practice}
app.extensions[beside.EXTENSION] = beside.Beside()
serve(app, port=0, host="127.0.0.1", printed_address="http://127.0.0.1:8000", name="Bare")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGTERM to send there")
@pytest.mark.parametrize(("sign", "last"), [
    (signal.SIGTERM, "Stopped. Everything that was answered is in the log."), (signal.SIGINT, "Stopped.")])
def test_a_stop_is_clean_and_promises_nothing_of_practice(sign: signal.Signals, last: str) -> None:
    code = SERVE.format(practice=last == "Stopped.")
    process = begun(code)
    while not process.stdout.readline().startswith(b"Stop with"):
        assert process.poll() is None
    os.kill(process.pid, sign)
    out, err = (said.decode() for said in process.communicate(timeout=20))
    assert process.returncode == 0, err
    assert out.splitlines()[-1] == last
    assert "Traceback" not in err


def test_nothing_is_advised_when_the_labels_lead_here() -> None:
    printed = site_address("http://10.0.0.1:8000")
    assert address_advice(printed, ("10.0.0.1", "192.168.4.2"), 8000, seen=("10.0.0.1",)) == ()


def test_another_address_than_the_printed_one_is_said_with_what_to_do() -> None:
    printed = site_address("http://10.0.0.1:8000")
    assert address_advice(printed, ("192.168.4.2",), 8080, seen=("10.0.0.1",)) == (
        "The labels say http://10.0.0.1:8000, but this laptop is at http://192.168.4.2:8080.",
        "Give this laptop the address 10.0.0.1 in the router (or in its own network settings), then start again.",
        "Start again with --port 8000.",
        "Until then the camera app finds nothing, but the photo button on the page reads every label, and typing an "
        "ID works.")


def test_the_opening_words_hold_address_and_symbol() -> None:
    words = opening_words("http://10.0.0.1:8000", ("10.0.0.1",), 8000, name="Orchard Hall")
    assert words.startswith("Orchard Hall: phones open http://10.0.0.1:8000\n")
    assert words.endswith("Stop with Ctrl-C.")
    assert "The labels say" not in words


def test_the_symbol_in_the_terminal_can_be_read() -> None:
    rows = terminal_symbol("http://10.0.0.1:8000").splitlines()
    lit = {"\u2588": (1, 1), "\u2580": (1, 0), "\u2584": (0, 1)}      # the half blocks: upper row, lower row
    picture = Image.new("L", (max(map(len, rows)), 2 * len(rows)))
    for y, row in enumerate(rows):
        for x, block in enumerate(row):
            for half, light in enumerate(lit.get(block, (0, 0))):
                picture.putpixel((x, 2 * y + half), 255 * light)
    big = picture.resize((picture.width * 6, picture.height * 6), Image.Resampling.NEAREST)
    assert [found.text for found in zxingcpp.read_barcodes(big)] == ["http://10.0.0.1:8000"]


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "no such letters"])
def test_a_terminal_without_half_blocks_is_told_in_words(monkeypatch: pytest.MonkeyPatch, encoding: str) -> None:
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(encoding=encoding))
    assert terminal_symbol("http://10.0.0.1:8000").startswith("(This terminal cannot draw the symbol")


def test_the_laptops_own_address_is_told_and_opened_and_the_next_one_told(app: Flask, monkeypatch: pytest.MonkeyPatch
                                                                          ) -> None:
    told: list[str] = []
    opened: list[str] = []
    monkeypatch.setattr(SitePort, "run", lambda _port: None)
    serve(app, port=0, host=LOOPBACK, printed_address="http://10.0.0.1:8000", name="Orchard Hall", report=told.append,
          show=opened.append)
    one_use = app.extensions[RIGHTS].laptop
    [address] = opened
    assert address.endswith(one_use.path)
    assert f"On this laptop itself open, once: {address}" in told
    assert one_use.use(one_use.path.rpartition("/")[2])
    assert told[-1].startswith("A browser has this laptop's rights now. If that was not you, stop and start again.")
    assert told[-1].endswith(one_use.path)


def test_the_announcement_never_stops_the_site() -> None:
    heard: list[str] = []
    for addresses in ((), ("not an address",), ("192.0.2.1",)):
        with announced("raisebook-test", 8000, addresses, told=heard.append):
            pass
    assert heard == []


def test_style_sheets_and_scripts_are_where_pages_look_for_them(app: Flask) -> None:
    folder = static_dir()
    page = app.test_client().get("/").text
    sheets = ("page", "part", "start", "phone", "drawing")
    scripts = ("keys", "once", "photo", "follow", "quick", "queue", "trouble", "waiting")
    for name in (*(f"{sheet}.css" for sheet in sheets), *(f"{script}.js" for script in scripts), "icon.svg"):
        assert f"{app.static_url_path}/{name}" in page
        assert (folder / name).is_file()
    assert Path(app.static_folder or "") == folder


def test_a_phone_keeps_scripts_for_good_and_gets_new_ones_at_a_new_address(app: Flask, tmp_path: Path) -> None:
    file = app.test_client().get(f"{app.static_url_path}/queue.js")
    assert "max-age=31622400" in file.headers["Cache-Control"]
    copy = shutil.copytree(static_dir(), tmp_path / "static")
    assert static_address(copy) == app.static_url_path
    (copy / "queue.js").write_text("// another", encoding="utf-8")
    assert static_address(copy) != app.static_url_path
