"""A yard of fifty kits, 10,000 parts and 200,000 entries on a database server, two laptops, 200 phones.

    python -m pytest -m bench -s tests/bench/bench_yard.py

YARD_KITS and YARD_ENTRIES make it smaller. Phones lie open and ask every 2.5 s, as static/reach.js does; an entry is
written every half a second at one of the laptops, in turn. Times are those of whoever asks, on a machine that runs
database, both laptops and all phones.
"""

import http.client
import json
import os
import shutil
import socket
import statistics
import threading
import time
import urllib.request
from http.cookiejar import CookieJar

import pytest
from bench.yard_of_fifty import MORNING, PREFIXES, Laptop, fill, filled, kit_in
from log.postgres import Server, binaries

from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.laptop import this_laptop
from fieldapp.log.rules import Setting
from fieldapp.log.shared.store import SharedStore
from fieldapp.log.snapshot import snapshot_file
from fieldapp.plan.order import level_order

pytestmark = [pytest.mark.bench, pytest.mark.timeout(1500),
              pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql")]

KITS = int(os.environ.get("YARD_KITS", "50"))
ENTRIES = int(os.environ.get("YARD_ENTRIES", "4000"))
PHONES, SECONDS, POLL_S = 200, 40.0, 2.5


@pytest.fixture(scope="module")
def server():
    made = Server(fsync="on", shared_buffers="'128MB'")
    made.ask("CREATE ROLE site LOGIN")
    yield made
    made.remove()


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as free:
        return free.getsockname()[1]


def of(times, share):
    return sorted(times)[min(len(times) - 1, int(len(times) * share))]


def told(name, times, unit="ms", by=1000.0):
    print(f"{name}: {len(times)} times, median {statistics.median(times) * by:.1f}, "
          f"95 % {of(times, 0.95) * by:.1f}, most {max(times) * by:.1f} {unit}")


def opening_ms(server, database, folder, kit):
    """The open book, and the processor time that opening took this laptop, without the database's own."""
    cpu = time.process_time()
    store = SharedStore.open(server.address("site", database), folder / "log.sqlite", kit)
    book = SiteBook(Setting(kit, level_order(kit.frame, kit.design)), store)
    return book, (time.process_time() - cpu) * 1000


def test_growth_with_the_number_of_entries(server, tmp_path):
    """Processor time of opening anew and from what was kept, and of an entry, against the entries there are."""
    print("\nprocessor time, ms\nentries   opened anew   from snapshot   an entry, mean of 50")
    for count in (500, 1000, 2000, 4000, 8000):
        folder = tmp_path / str(count)
        kit = kit_in(folder, "AA")
        database = server.database()
        fill(server, database, kit, this_laptop(tmp_path / "other.sqlite"), count)
        book, anew_ms = opening_ms(server, database, folder, kit)
        book.close()
        assert snapshot_file(folder / "log.sqlite").exists()
        book, kept_ms = opening_ms(server, database, folder, kit)
        cpu = time.process_time()
        for number, part in enumerate(kit.parts[:50]):
            outcome = book.submit(Request(f"new {number}", "missing", part.id), MORNING)
            assert isinstance(outcome, Entry), outcome
        entry_ms = (time.process_time() - cpu) / 50 * 1000
        book.close()
        print(f"{count:7} {anew_ms:13.0f} {kept_ms:15.0f} {entry_ms:10.1f}")


class Asking:
    """Requests to one laptop over one connection, as a phone that joined."""

    def __init__(self, port, cookie):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookie, self.tags = cookie, {}

    def get(self, path):
        headers = {"Cookie": self.cookie, **({"If-None-Match": self.tags[path]} if path in self.tags else {})}
        self.connection.request("GET", path, None, headers)
        answer = self.connection.getresponse()
        body = answer.read()
        if answer.headers.get("ETag"):
            self.tags[path] = answer.headers["ETag"]
        assert answer.status in (200, 304), (path, answer.status)
        return answer.status, body

    def write(self, prefix, wish):
        self.connection.request("POST", f"/{prefix}/api/entries", json.dumps({"entries": [wish]}),
                                {"Content-Type": "application/json", "Cookie": self.cookie})
        answer = self.connection.getresponse()
        said = json.loads(answer.read())
        assert answer.status == 200, said
        assert said["answers"][0]["kept"], said
        return said["answers"][0]["entry"]["number"]


class Phone(threading.Thread):
    """Lies open on one kit's pages, and notes when it heard of each number."""

    def __init__(self, number, laptop, cookie, until):
        super().__init__(daemon=True)
        self.prefix, self.asking, self.until = PREFIXES[number // 4 % KITS], Asking(laptop.port, cookie), until
        self.offset_s, self.at_port, self.last = number % 25 / 10.0, laptop.port, ENTRIES
        self.times, self.heard = [], {}

    def run(self):
        time.sleep(self.offset_s)
        while not self.until.is_set():
            began = time.perf_counter()
            status, body = self.asking.get(f"/{self.prefix}/api/state?since={self.last}")
            self.times.append(time.perf_counter() - began)
            if status == 200 and (last := json.loads(body)["last_number"]) > self.last:
                self.heard.update(dict.fromkeys(range(self.last + 1, last + 1), time.perf_counter()))
                self.last = last
            self.until.wait(max(0.0, POLL_S - (time.perf_counter() - began)))


def cookie_of(address):
    jar = CookieJar()
    urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar)).open(address).read()
    return "; ".join(f"{cookie.name}={cookie.value}" for cookie in jar)


def test_two_laptops_and_two_hundred_phones(server, tmp_path):
    began = time.perf_counter()
    database = filled(server, tmp_path / "a", PREFIXES[:KITS], ENTRIES)
    shutil.copytree(tmp_path / "a", tmp_path / "b")
    parts = sum(len(read_kit(tmp_path / "a" / prefix).parts) for prefix in PREFIXES[:KITS])
    print(f"\n{KITS} kits, {parts} parts, {KITS * ENTRIES} entries made in {time.perf_counter() - began:.0f} s")
    laptops = []
    try:
        for word in ("first start", "from snapshots"):
            for laptop in laptops:
                laptop.stop()
            laptops.clear()
            for name in "ab":
                began = time.perf_counter()
                laptops.append(Laptop(tmp_path / name, server.address("site", database), free_port()))
                laptops[-1].opened()
                print(f"{word} of laptop {name}: all kits opened after {time.perf_counter() - began:.1f} s")
        _day([(laptop, cookie_of(laptop.opened())) for laptop in laptops], tmp_path)
    finally:
        for laptop in laptops:
            laptop.stop()


def _day(served, tmp_path):
    until = threading.Event()
    phones = [Phone(number, *served[number % 2], until) for number in range(PHONES)]
    for phone in phones:
        phone.start()
    time.sleep(2 * POLL_S)
    askings = [Asking(laptop.port, cookie) for laptop, cookie in served]
    written, entry_times, page_times, end = [], [], [], time.perf_counter() + SECONDS
    while time.perf_counter() < end:
        turn = len(written)
        prefix = PREFIXES[turn * 7 % KITS]
        part = read_kit(tmp_path / "a" / prefix).parts[turn % 40].id
        began = time.perf_counter()
        number = askings[turn % 2].write(prefix, {"key": f"new-entry-{turn:010d}", "kind": "missing", "part": part})
        entry_times.append(time.perf_counter() - began)
        written.append((prefix, number, served[turn % 2][0].port, time.perf_counter()))
        began = time.perf_counter()
        askings[1 - turn % 2].get(f"/{prefix}/p/{part}")
        page_times.append(time.perf_counter() - began)
        time.sleep(max(0.0, 0.5 - (time.perf_counter() - began)))
    time.sleep(2 * POLL_S)
    until.set()
    for phone in phones:
        phone.join(30)
    followed = [phone.heard[number] - at for prefix, number, port, at in written for phone in phones
                if (phone.prefix, phone.at_port != port) == (prefix, True)]
    polls = [one for phone in phones for one in phone.times]
    told("a poll of an open page", polls)
    told("an entry", entry_times)
    told("a part page right after it, at the other laptop", page_times)
    told("heard by phones of the other laptop after", followed, "s", 1.0)
    assert of(followed, 0.95) < 3.0 + of(polls, 0.95)       # a laden machine answers late, whatever it knows
