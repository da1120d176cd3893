"""Pages per second of the served demo kit, as ratios to a bare page of the same server in the same run.

    python -m pytest -m bench -s tests/bench/bench_pages.py
"""

import http.client
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
from flask import Flask

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit.build import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan import erection_plan
from fieldapp.web.app import create_app
from fieldapp.web.server import open_server

pytestmark = pytest.mark.bench

CLIENTS = 4
SECONDS = 3.0


@contextmanager
def _served(app):
    server = open_server(app, 0, host="127.0.0.1")
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield server.effective_port
    server.close()
    thread.join(timeout=10)


def _asks(port, path, until, headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    times_s = []
    while time.perf_counter() < until:
        began = time.perf_counter()
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        answer.read()
        assert answer.status in (200, 304)
        times_s.append(time.perf_counter() - began)
    connection.close()
    return times_s


def _rate(port, path, headers=None):
    until = time.perf_counter() + SECONDS
    with ThreadPoolExecutor(CLIENTS) as pool:
        runs = list(pool.map(lambda _: _asks(port, path, until, headers or {}), range(CLIENTS)))
    times_s = sorted(t for run in runs for t in run)
    return len(times_s) / SECONDS, times_s[int(0.95 * len(times_s))] * 1000


def test_pages_against_a_bare_page(tmp_path):
    bare = Flask("bare")
    bare.add_url_rule("/", view_func=lambda: "ok")
    kit = build_kit(orchard_hall())
    with SiteBook.open(kit, erection_plan(kit.frame, kit, kit.design), tmp_path / "log.sqlite") as book:
        part = kit.by_place["S073"].id
        with _served(bare) as bare_port, _served(create_app(book)) as port:
            limit, _ = _rate(bare_port, "/")
            print(f"\nbare page: {limit:.0f}/s")
            for path in ("/", f"/P/{part}.1", f"/P/{kit.by_place['H22'].id}", "/ring/2", f"/api/parts/{part}",
                         "/api/state"):
                rate, p95_ms = _rate(port, path)
                print(f"{path:24} {rate:6.0f}/s  {rate / limit:5.2f} of the bare page  p95 {p95_ms:.0f} ms "
                      f"with {CLIENTS} clients")
                assert rate > limit / 100
