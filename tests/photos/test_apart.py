"""Photos unpacked in a process apart: what fills, breaks or stops it does no harm, and the next photo is read."""

import io
import os
import signal
import struct
import subprocess
import sys
import threading
import zlib
from concurrent.futures import ThreadPoolExecutor
from time import sleep

import pytest
import qrcode

from fieldapp.photos import apart
from fieldapp.photos.apart import Unpackers
from fieldapp.photos.unpack import symbols_in

TEXT = "http://10.0.0.1:8000/P/OH-S073-C"
PROC = sys.platform.startswith("linux")


def png_of(width, height, colour=6):
    """A PNG of a few hundred bytes that says it has so many pixels, in 32-bit colour unless told."""
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    packer = zlib.compressobj(9)
    row = bytes(1 + width * (4 if colour == 6 else 1))
    pixels = b"".join([packer.compress(row) for _ in range(height)] + [packer.flush()])
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0))
            + chunk(b"IDAT", pixels) + chunk(b"IEND", b""))


@pytest.fixture(scope="module")
def photo():
    out = io.BytesIO()
    qrcode.make(TEXT).get_image().convert("RGB").save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def unpackers():
    made = Unpackers(1)
    yield made
    made.end()


def _status_mb(process_id, line):
    with open(f"/proc/{process_id}/status") as file:
        return next(int(each.split()[1]) for each in file if each.startswith(line)) / 1024


def test_a_photo_is_read_apart_as_it_is_read_here(unpackers, photo):
    assert unpackers.symbols(io.BytesIO(photo)) == symbols_in(photo)
    assert unpackers.symbols(io.BytesIO(photo)).texts == (TEXT,)
    assert unpackers.idle[0].process_id not in (None, os.getpid())


@pytest.mark.skipif(not PROC, reason="no /proc to ask for memory here")
def test_crafted_pictures_stay_under_the_ceiling(unpackers, photo):
    """Fields of 24 million pixels in 32 bits come from 100 KB; larger ones are refused by their head."""
    for data, problem in ((png_of(6000, 4000), "dark"), (png_of(9000, 9000, 0)[:4000], "too many pixels")):
        assert unpackers.symbols(io.BytesIO(data)).problem == problem
    assert _status_mb(unpackers.idle[0].process_id, "VmPeak") < 640
    assert unpackers.symbols(io.BytesIO(photo)).texts == (TEXT,)


@pytest.mark.skipif(not apart.has_ceiling(sys.platform), reason="this system has no memory ceiling")
def test_the_ceiling_holds():
    greedy = "from fieldapp.photos.child import under_ceiling; print(under_ceiling()); bytearray(700 * 2 ** 20)"
    done = subprocess.run([sys.executable, "-c", greedy], capture_output=True, text=True, check=False)
    assert done.stdout == "True\n"
    assert "MemoryError" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="no signal to stop a process there")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGSTOP] if sys.platform != "win32" else [])
def test_a_process_that_dies_or_hangs_over_a_photo_is_replaced(unpackers, photo, monkeypatch, how):
    assert unpackers.symbols(io.BytesIO(photo)).texts
    monkeypatch.setattr(apart, "WITHIN_S", 0.5)
    os.kill(unpackers.idle[0].process_id, how)
    if how == signal.SIGSTOP:
        assert unpackers.symbols(io.BytesIO(photo)).problem == "broken"
    monkeypatch.undo()
    assert unpackers.symbols(io.BytesIO(photo)).texts or unpackers.symbols(io.BytesIO(photo)).texts


def test_a_process_makes_room_for_a_fresh_one_in_time(unpackers, photo, monkeypatch):
    monkeypatch.setattr(apart, "LONG_LIFE", 2)
    assert unpackers.symbols(io.BytesIO(photo)).texts
    first = unpackers.idle[0].process_id
    assert unpackers.symbols(io.BytesIO(photo)).texts
    assert unpackers.symbols(io.BytesIO(photo)).texts
    assert unpackers.idle[0].process_id not in (None, first)


def test_more_photos_at_once_than_can_be_read_are_asked_to_wait():
    everybody_in, go_on = threading.Barrier(3), threading.Event()

    class Slow:
        def ask(self, question, photo):
            if photo.read():
                everybody_in.wait(10)
                go_on.wait(10)
            return {"texts": ["read"], "problem": None}, b""

    unpackers = Unpackers(2, 2)
    unpackers.idle = [Slow(), Slow()]
    with ThreadPoolExecutor(4) as phones:
        inside = [phones.submit(unpackers.symbols, io.BytesIO(b"photo")) for _ in range(2)]
        everybody_in.wait(10)
        waiting = [phones.submit(unpackers.symbols, io.BytesIO()) for _ in range(2)]
        while unpackers.room._value:
            sleep(0.005)
        assert unpackers.symbols(io.BytesIO()).problem == "busy"
        go_on.set()
        assert [each.result(10).texts for each in (*inside, *waiting)] == [("read",)] * 4
