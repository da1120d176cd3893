"""Pages per second of a whole site, against a bare Flask page on the same server in the same run.

Run with `pytest -m bench -s tests/bench/bench_pages.py`.
"""

import http.client
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from time import perf_counter

import pytest
from flask import Flask

from fieldapp.frame.design import Design
from fieldapp.kit.build import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import ring_order
from fieldapp.web.app import create_app
from fieldapp.web.server import open_server

PHONES = 8
REQUESTS = 60
"""Of each phone."""
DESIGN = Design.model_validate({"frame": {"prefix": "OH", "frequency": 3, "cut": "5/9", "diameter_m": 6.4}})


@contextmanager
def served(app: Flask) -> Iterator[int]:
    server = open_server(app, 0, host="127.0.0.1")
    running = threading.Thread(target=server.run, daemon=True)
    running.start()
    try:
        yield server.effective_port
    finally:
        server.close()


def per_second(port: int, path: Callable[[int, int], str], headers: dict[str, str] | None = None) -> float:
    """Requests answered a second by all phones together, each on one connection."""

    def phone(number: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", port)
        for turn in range(REQUESTS):
            connection.request("GET", path(number, turn), headers=headers or {})
            answer = connection.getresponse()
            answer.read()
            assert answer.status in (200, 304), answer.status
        connection.close()

    start = perf_counter()
    with ThreadPoolExecutor(PHONES) as crew:
        list(crew.map(phone, range(PHONES)))
    return PHONES * REQUESTS / (perf_counter() - start)


def bare_app() -> Flask:
    app = Flask("bare")
    app.add_url_rule("/", view_func=lambda: "<!doctype html><title>bare</title><p>bare</p>")
    return app


@pytest.mark.bench
def test_pages_per_second_against_a_bare_page(tmp_path):
    kit = build_kit(DESIGN)
    ids = [part.id for part in kit.parts]
    with SiteBook.open(kit, ring_order(kit.frame, DESIGN), tmp_path / "log.sqlite") as book, \
            served(create_app(book)) as port, served(bare_app()) as bare_port:
        bare = per_second(bare_port, lambda number, turn: "/")
        rates = {
            "part page, picture drawn anew": per_second(port, lambda n, t: f"/P/{ids[(n * REQUESTS + t) % len(ids)]}"),
            "part page, picture kept": per_second(port, lambda n, t: f"/P/{ids[t]}"),
            "start page": per_second(port, lambda n, t: "/"),
            "poll, nothing new": per_second(port, lambda n, t: "/api/state?since=0", {"If-None-Match": '"0--0"'}),
        }
    print(f"\nbare page {bare:.0f}/s")
    for name, rate in rates.items():
        print(f"{name:32} {rate:5.0f}/s = {rate / bare:.2f} of the bare page")
    assert rates["poll, nothing new"] > 0.1 * bare
    assert rates["part page, picture drawn anew"] > 0.01 * bare
