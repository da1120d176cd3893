"""Bad neighbours and a large crew on one laptop, by `raisebook serve` in a process of its own, on loopback.

    python -m pytest -m bench -s tests/bench/bench_neighbours.py

Prints: memory after two hundred photos and thirty crafted ones; how long a poll takes for two hundred phones while
six hundred connections idle and forty clients keep silent on HTTPS; how long one more phone waits to come in. Short
versions run with every test: tests/photos, tests/web/server/test_neighbours.py.
"""

import http.client
import io
import os
import socket
import ssl
import struct
import threading
import time
import zlib
from contextlib import ExitStack, suppress
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

pytestmark = [pytest.mark.bench, pytest.mark.timeout(1200)]

PHONES, POLL_S, POLLS = 200, 2.5, 12
IDLE, SILENT = 600, 40
PHOTOS, CRAFTED = 200, 30
MOST_MB, P99_S = 250, 0.3


def memory_mb(process_id):
    """Of a process and its children: (its own, all together)."""
    def rss(each):
        lines = Path(f"/proc/{each}/status").read_text().splitlines()
        return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024

    children = set()
    for thread in Path(f"/proc/{process_id}/task").iterdir():
        with suppress(OSError):         # it may have ended just now
            children |= set((thread / "children").read_text().split())
    own = rss(process_id)
    return own, own + sum(map(rss, children))


def processor_s(process_id):
    """Processor time that a process has taken."""
    fields = Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def picture(width, height, kind, quality=85):
    rng = np.random.default_rng(width)
    small = rng.integers(0, 255, (height // 8, width // 8, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(small).resize((width, height), Image.Resampling.BILINEAR).save(out, kind, quality=quality)
    return out.getvalue()


def crafted(side=4800):
    """A PNG of 23 million pixels in 32 bits, a hundred kilobytes long."""
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    packer = zlib.compressobj(9)
    row = bytes(1 + side * 4)
    pixels = b"".join([packer.compress(row) for _ in range(side)] + [packer.flush()])
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 6, 0, 0, 0))
            + chunk(b"IDAT", pixels) + chunk(b"IEND", b""))


def send(laptop, photo):
    body = b"--x\r\nContent-Disposition: form-data; name=photo; filename=p.jpg\r\n\r\n" + photo + b"\r\n--x--\r\n"
    connection = http.client.HTTPConnection("127.0.0.1", laptop.port, timeout=60)
    connection.request("POST", "/photo", body, {"Content-Type": "multipart/form-data; boundary=x",
                                                "Cookie": laptop.cookie})
    status = connection.getresponse().status
    connection.close()
    return status


@pytest.fixture
def served(kit_folder, laptop_class):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    laptop = laptop_class(kit_folder).start("--https", "--https-port", port)
    laptop.https_port = port
    yield laptop
    laptop.stop()


def test_photos_leave_the_server_small(served):
    pid = served.process.pid
    before = memory_mb(pid)
    kinds = [picture(4000, 3000, "JPEG")] * 8 + [picture(8160, 6120, "JPEG", 75), picture(2000, 1500, "PNG")]
    began, peak = time.monotonic(), before
    for number in range(PHOTOS):
        assert send(served, kinds[number % len(kinds)]) in (303, 422)
        peak = max(peak, memory_mb(pid))
    took, after = time.monotonic() - began, memory_mb(pid)
    bomb = crafted()
    with ExitStack() as crowd:
        threads = [threading.Thread(target=send, args=(served, bomb)) for _ in range(CRAFTED)]
        for thread in threads:
            thread.start()
            crowd.callback(thread.join)
    hostile = memory_mb(pid)
    print(f"\nserver alone / with its processes for photos [MB]: before {before[0]:.0f} / {before[1]:.0f}, "
          f"highest over {PHOTOS} photos {peak[0]:.0f} / {peak[1]:.0f}, after them {after[0]:.0f} / {after[1]:.0f}, "
          f"after {CRAFTED} crafted ones {hostile[0]:.0f} / {hostile[1]:.0f}; {1000 * took / PHOTOS:.0f} ms a photo")
    assert after[0] < MOST_MB
    assert hostile[0] < MOST_MB


def test_two_hundred_phones_among_bad_neighbours(served):
    first = http.client.HTTPConnection("127.0.0.1", served.port, timeout=30)
    first.request("GET", "/")           # in its first second a server computes this; polls wait up to 0.7 s then
    first.getresponse().read()
    first.close()
    times, waits, before = [], [], processor_s(served.process.pid)
    with ExitStack() as crowd:
        for _ in range(IDLE):
            crowd.enter_context(socket.create_connection(("127.0.0.1", served.port), timeout=10))
        phones = [threading.Thread(target=poll, args=(served, times, number)) for number in range(PHONES)]
        for phone in phones:
            phone.start()
        while any(phone.is_alive() for phone in phones):
            began = time.monotonic()
            with socket.create_connection(("127.0.0.1", served.port), timeout=10) as line:
                line.sendall(b"GET /ping HTTP/1.1\r\nHost: localhost\r\n\r\n")
                assert b"204" in line.recv(200)
            waits.append(time.monotonic() - began)
            time.sleep(0.5)
    p50, p99 = np.percentile(times, (50, 99))
    spent = 1000 * (processor_s(served.process.pid) - before) / len(times)
    print(f"\n{len(times)} polls of {PHONES} phones, {IDLE} idle connections: median {1000 * p50:.0f} ms, "
          f"p99 {1000 * p99:.0f} ms, longest {1000 * max(times):.0f} ms; a fresh connection waits at most "
          f"{1000 * max(waits):.0f} ms; {spent:.1f} ms of processor time a poll")
    assert p99 < P99_S


def poll(laptop, times, number):
    """One phone: asks what is new, with the ETag that it has, over a connection that it keeps."""
    time.sleep(number * POLL_S / PHONES)
    connection = http.client.HTTPConnection("127.0.0.1", laptop.port, timeout=30)
    tag = ""
    for _ in range(POLLS):
        began = time.monotonic()
        connection.request("GET", "/api/state?since=0", headers={"If-None-Match": tag, "Cookie": laptop.cookie})
        answer = connection.getresponse()
        answer.read()
        times.append(time.monotonic() - began)
        tag = answer.headers.get("ETag", tag)
        time.sleep(max(0.0, POLL_S - (time.monotonic() - began)))
    connection.close()


def test_silent_clients_on_https(served):
    port = served.https_port
    context = ssl._create_unverified_context()
    with ExitStack() as crowd:
        for _ in range(SILENT):
            crowd.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10))
        waits = []
        for _ in range(10):
            began = time.monotonic()
            with socket.create_connection(("127.0.0.1", port), timeout=30) as raw, context.wrap_socket(raw) as line:
                line.sendall(b"GET /ping HTTP/1.1\r\nHost: localhost\r\n\r\n")
                assert b"204" in line.recv(200)
            waits.append(time.monotonic() - began)
    print(f"\nHTTPS beside {SILENT} silent clients: a request with its handshake waits at most "
          f"{1000 * max(waits):.0f} ms")
