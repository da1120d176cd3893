"""Fifty phones on loopback: page, fit and poll, as ratios to a bare page of the same server program.

    python -m pytest -m bench -s tests/bench/bench_phones.py

Runs one minute; PHONES_SECONDS=600 makes it the ten minutes of a long look at memory.
"""

import os
import resource
import threading
import time
from pathlib import Path

import pytest

pytestmark = [pytest.mark.bench, pytest.mark.timeout(1200)]

PHONES = 50
SECONDS = float(os.environ.get("PHONES_SECONDS", "60"))
POLL_S = 3.0
"""As the pages do."""


class Crew:
    """Fifty phones that poll every three seconds, open a part now and then, fit it and take it down."""

    def __init__(self, laptop, phone_class, kit):
        self.laptop = laptop
        self.phones = [phone_class(f"bench-phone-{n:02d}") for n in range(PHONES)]
        self.parts = [part for part in kit.parts if part.made_for][:PHONES * 4]
        self.times_s = {"page": [], "fit": [], "poll": []}
        self.lock = threading.Lock()

    def work(self, number, until):
        phone = self.phones[number]
        phone.join(self.laptop)
        mine = self.parts[number::PHONES]
        time.sleep(POLL_S * number / PHONES)
        turn = 0
        while time.monotonic() < until:
            part = mine[turn % len(mine)]
            self.timed("poll", lambda: phone.get("/api/state?since=0"))
            if turn % 3 == 0:
                self.timed("page", lambda part=part: phone.get(f"/P/{part.id}"))
                self.timed("fit", lambda part=part: phone.write("fitted", part.id, part.made_for))
                phone.write("taken_down", part.id)
            turn += 1
            time.sleep(POLL_S)

    def timed(self, name, act):
        began = time.perf_counter()
        act()
        with self.lock:
            self.times_s[name].append(time.perf_counter() - began)


def _memory_mb(pid):
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1]) / 1024
    return float("nan")


def _p95_ms(times_s):
    return sorted(times_s)[int(0.95 * len(times_s))] * 1000


def test_fifty_phones(kit_folder, laptop_class, phone_class):
    from fieldapp.kit.file import read_kit

    laptop = laptop_class(kit_folder).start()
    memory = []
    try:
        crew = Crew(laptop, phone_class, read_kit(kit_folder))
        probe = phone_class("bench-probe")
        probe.join(laptop)
        bare = []
        for _ in range(200):
            began = time.perf_counter()
            probe.get("/static/icon.svg")
            bare.append(time.perf_counter() - began)
        until = time.monotonic() + SECONDS
        threads = [threading.Thread(target=crew.work, args=(n, until)) for n in range(PHONES)]
        for thread in threads:
            thread.start()
        while time.monotonic() < until:
            time.sleep(SECONDS / 20)
            memory.append(_memory_mb(laptop.process.pid))
        for thread in threads:
            thread.join(timeout=30)
    finally:
        laptop.stop()
    bare_ms = _p95_ms(bare)
    print(f"\nbare file, one phone: p95 {bare_ms:.1f} ms")
    for name, times_s in crew.times_s.items():
        print(f"{name}: {len(times_s)} in {SECONDS:.0f} s, p95 {_p95_ms(times_s):.0f} ms, "
              f"{_p95_ms(times_s) / bare_ms:.1f} times the bare file")
    settled = memory[len(memory) // 4]
    print(f"memory: {settled:.0f} MB after a quarter, {memory[-1]:.0f} MB at the end; "
          f"this process itself {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    assert memory[-1] < 1.5 * settled
