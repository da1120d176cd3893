"""Fifty phones on one laptop, each as its browser and our scripts work it, while a frame goes up and comes down.

    python -m pytest -m bench -s tests/bench/bench_phones.py

Runs one minute; PHONES_SECONDS=600 makes it the ten minutes of a long look at memory, PHONES_PACE=30 a crew's pace.
Every phone lies open: it asks every 2.5 s whether something was written down, with the ETag it has, and fetches its
page anew when something was. Every half minute or so its owner scans a part, looks, presses, and goes back to the
start page: with fifty phones that is an entry every second, thirty times the pace of a crew.

Times are those of the phone. Phones, laptop and whatever else runs share the processor, so each figure is also given
as a ratio to a bare page (/ping) that one more phone asks for all the while.
"""

import http.client
import json
import os
import random
import re
import threading
import time
import tracemalloc
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

import pytest

from fieldapp.demo import write_demo
from fieldapp.kit.file import read_kit
from fieldapp.kit.site_key import site_key
from fieldapp.log.entry import LOG_NAME, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.opening import plan_for
from fieldapp.log.reading import read_log
from fieldapp.log.rules import Setting, decide
from fieldapp.reports.raising import places_of

pytestmark = [pytest.mark.bench, pytest.mark.timeout(1500)]

PHONES = 50
SECONDS = float(os.environ.get("PHONES_SECONDS", "60"))
POLL_S = 2.5
"""As static/reach.js."""
PACE = float(os.environ.get("PHONES_PACE", "1"))
ERRAND_S, LOOK_S = (15.0 * PACE, 35.0 * PACE), (4.0, 9.0)
"""Between two errands of a phone's owner; between scanning and pressing."""
WARM_S, HURRY = 25.0, 0.1
"""Before anything is measured: errands ten times as fast, until caches are as full as they get."""
STEADY_MB = 12.0
"""Growth that is no trend: the allocator's own ups and downs."""
LANGUAGES = ("en", "nl", "de", "fr", "es")


class Browser:
    """One phone: its cookies, what it keeps with which ETag, the page that lies open."""

    def __init__(self, port, number):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookies, self.tags, self.kept, self.times_s = {}, {}, {}, defaultdict(list)
        self.language = LANGUAGES[number % len(LANGUAGES)]
        self.path, self.follows, self.files = "/", None, set()

    def ask(self, name, path, form=None):
        """One request as `fetch` makes it; its time counts under `name`. (status, headers, text)."""
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()), "Accept-Language": self.language}
        if form is None and path in self.tags:
            headers["If-None-Match"] = self.tags[path]
        if form is not None:
            headers |= {"Content-Type": "application/x-www-form-urlencoded"}
        began = time.perf_counter()
        self.connection.request("GET" if form is None else "POST", path, form and urlencode(form), headers)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        self.times_s[name].append(time.perf_counter() - began)
        assert answer.status < 500, f"{path}: {answer.status}"
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            key, value = cookie.split(";", 1)[0].split("=", 1)
            self.cookies[key] = value
        if "ETag" in answer.headers and form is None:
            self.tags[path] = answer.headers["ETag"]
        return answer.status, answer.headers, text

    def join(self, code):
        """Scan the join poster and press Join, so that it may write."""
        status, _, _ = self.ask("page", "/join", {"code": code})
        assert status == 303, f"the code {code} joined nobody: {status}"

    def open(self, path):
        """Go to a page, with the files that this phone has not got yet; they keep for good."""
        self.path = path
        page = self.read(path)
        files = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page))
        folder = next(iter(files)).rpartition("/")[0]
        files |= {f"{folder}/{name}.js" for name in ("kept", "reach", "sending", "stay")}
        for file in sorted(files - self.files):
            self.ask("file", file)
        self.files |= files

    def read(self, path):
        """Fetch a page and show it, as static/follow.js does after news."""
        status, _, page = self.ask("page", path)
        assert status == 200 or (status == 304 and path in self.kept), f"{path}: {status}"
        page = self.kept[path] = page if status == 200 else self.kept[path]
        found = re.search(r'data-follow="(\d+)"', page)
        self.follows = found and int(found[1])
        return page

    def poll(self):
        """Whether something was written down, as static/reach.js asks; if so, the page anew."""
        if self.follows is None:
            self.ask("poll", "/ping")
            return
        path = f"/api/state?since={self.follows}"
        status, _, text = self.ask("poll", path)
        if status == 304:
            return
        if json.loads(text)["last_number"] != self.follows:
            self.tags.pop(path)
            self.read(self.path)

    def press(self, part, act, key):
        """A button of the part page, as static/queue.js presses it: sent, followed, and gone to."""
        began = time.perf_counter()
        form = {"key": key, "sent_at": datetime.now(UTC).isoformat()}
        status, headers, _ = self.ask("press", f"/P/{part}/{act}", form)
        if status == 303:
            self.kept[headers["Location"]] = self.ask("page", headers["Location"])[2]
            self.times_s["fit"].append(time.perf_counter() - began)
            self.open(headers["Location"])
        return status == 303


class Work:
    """What the crew has to do, in the order of the plan: up, down, and up again."""

    def __init__(self, folder, laptop):
        kit, self.laptop = read_kit(folder), laptop
        plan = plan_for(kit, None, folder)
        state = fold(kit, read_log(folder / LOG_NAME))
        up = [(place, state.allocation[place]) for step in plan.steps for place in places_of(step)
              if place in state.allocation and state.parts[state.allocation[place]].usable]
        self._round = [("raise_started", None), *(("fitted", part) for _, part in up), ("strike_started", None),
                       *(("taken-down", part) for _, part in reversed(up)), ("raise_ended", None)]
        self._lock = threading.Lock()
        self._left, self._count = [("round_closed", None)], 0
        self.written = 0

    def next(self):
        """(act, part, key of its own)."""
        with self._lock:
            self._left = self._left or list(self._round)
            self._count += 1
            return (*self._left.pop(0), f"bench-{self._count:016d}")

    def count(self, kept):
        with self._lock:
            self.written += kept


def _owner(browser, work, number, warm_until, until):
    """A phone from its first page to the end."""
    dice = random.Random(number)
    time.sleep(POLL_S * number / PHONES)
    browser.open("/")
    poll_at, task = time.monotonic() + POLL_S, None
    errand_at = time.monotonic() + HURRY / PACE * dice.uniform(0.0, ERRAND_S[1])
    while time.monotonic() < until:
        time.sleep(max(0.0, min(poll_at, errand_at, until) - time.monotonic()))
        if time.monotonic() >= poll_at:
            browser.poll()
            poll_at = time.monotonic() + POLL_S
        if time.monotonic() >= errand_at:
            task = _errand(browser, work, task)
            pace = 1.0 if time.monotonic() > warm_until else HURRY / PACE
            errand_at = time.monotonic() + pace * dice.uniform(*(LOOK_S if task or browser.path != "/" else ERRAND_S))
    browser.connection.close()


def _errand(browser, work, task):
    """Scan, press, or back to the start page; what is in hand after it."""
    if task is not None:
        work.count(browser.press(task[1], task[0], task[2]))
        return None
    if browser.path != "/":
        browser.open("/")
        return None
    act, part, key = work.next()
    if part is None:
        data = dict.fromkeys(("name", "by", "reason"), "bench") if act == "raise_started" else {}
        entry = {"key": key, "kind": act, "data": data}
        browser.connection.request("POST", "/api/entries", json.dumps({"entries": [entry]}),
                                   {"Content-Type": "application/json", "Cookie": work.laptop.cookie})
        [said] = json.loads(browser.connection.getresponse().read())["answers"]
        work.count(said["kept"])
        return None
    browser.open(f"/P/{part}")
    return act, part, key


def _probe(browser, until):
    """A bare page of the same server, five times a second all the while."""
    while time.monotonic() < until:
        browser.ask("bare", "/ping")
        time.sleep(0.2)


def _memory_mb(pid):
    [line] = [line for line in Path(f"/proc/{pid}/status").read_text().splitlines() if line.startswith("VmRSS")]
    return int(line.split()[1]) / 1024


def _cpu_s(pid):
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _row(name, times_s, bare_s):
    ranked = sorted(times_s)
    middle, high = (ranked[int(share * len(ranked))] for share in (0.5, 0.95))
    ratio = high / sorted(bare_s)[int(0.95 * len(bare_s))]
    print(f"{name:6}{len(ranked):8}{1e3 * middle:8.1f}{1e3 * high:8.1f}{1e3 * ranked[-1]:8.0f}{ratio:8.1f}")
    return 1e3 * high


def bytes_per_entry(folder, count=2000):
    """What one more entry keeps in memory, state and history of its part included."""
    kit = read_kit(folder)
    site = Setting(kit, plan_for(kit, None, folder))
    state, now = fold(kit, ()), datetime(2026, 9, 12, 10, 14, tzinfo=UTC)
    parts = [kit.by_place[place].id for step in site.plan.steps for place in places_of(step)]
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    for number in range(count):
        kind = "fitted" if number // len(parts) % 2 == 0 else "taken_down"
        request = Request(f"bench-{number:016d}", kind, parts[number % len(parts)], sender="phone ABCD", who="crew 1",
                          sent_at=now)
        state = apply(state, decide(site, state, request, now + timedelta(seconds=number)))
    kept = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    return kept / count


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory):
    """Orchard Hall with its first raise and half an inspection."""
    folder = tmp_path_factory.mktemp("phones") / "orchard-hall"
    write_demo(folder)
    return folder


def test_fifty_phones(demo_folder, laptop_class):
    entry_bytes = bytes_per_entry(demo_folder)
    laptop = laptop_class(demo_folder).start()
    work = Work(demo_folder, laptop)
    pid, warm_until = laptop.process.pid, time.monotonic() + WARM_S
    until, first_mb = warm_until + SECONDS, _memory_mb(pid)
    probe, *browsers = (Browser(laptop.port, number) for number in range(PHONES + 1))
    code = site_key(demo_folder).join_code
    for browser in browsers:
        browser.join(code)
    threads = [threading.Thread(target=_owner, args=(browser, work, n, warm_until, until))
               for n, browser in enumerate(browsers)]
    threads.append(threading.Thread(target=_probe, args=(probe, until)))
    seen = []
    try:
        for thread in threads:
            thread.start()
        time.sleep(WARM_S)
        for browser in (probe, *browsers):
            browser.times_s = defaultdict(list)
        cpu_s, warm_count = _cpu_s(pid), work.written
        while time.monotonic() < until:
            time.sleep(0.5)
            seen.append((_memory_mb(pid), work.written))
        for thread in threads:
            thread.join(timeout=60)
        cpu_s = _cpu_s(pid) - cpu_s
    finally:
        laptop.stop()
    times_s = defaultdict(list)
    for browser in (probe, *browsers):
        for name, taken in browser.times_s.items():
            times_s[name] += taken
    requests = sum(len(taken) for name, taken in times_s.items() if name != "fit")
    print(f"\n{PHONES} phones, {SECONDS:.0f} s, {work.written - warm_count} entries, {requests} requests, "
          f"{1e3 * cpu_s / requests:.2f} ms of processor time each, {100 * cpu_s / SECONDS:.0f} % of one core")
    print("        count  median     p95     max   p95 / bare page's p95   [ms]")
    p95_ms = {name: _row(name, times_s[name], times_s["bare"]) for name in ("bare", "poll", "page", "fit", "file")
              if times_s[name]}
    eighth = max(1, len(seen) // 8)
    (early_mb, early_count), (late_mb, late_count) = (
        min(part, key=lambda pair: pair[0]) for part in (seen[:eighth], seen[-eighth:]))
    entries_mb = (late_count - early_count) * entry_bytes / 2**20
    print(f"memory: {first_mb:.0f} MB at first, {early_mb:.0f} MB once warm, {late_mb:.0f} MB at the end; "
          f"{late_count - early_count} entries between, {entry_bytes:.0f} bytes each: {entries_mb:.1f} MB of it")
    assert late_mb - early_mb < entries_mb + STEADY_MB
    assert p95_ms["page"] < 40 * p95_ms["bare"]
    assert p95_ms["poll"] < 5 * p95_ms["bare"]
