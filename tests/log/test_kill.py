"""Killed while thirty write: what was answered is there, none twice, and the next start goes on."""

import multiprocessing
import os
import random
import signal
import threading
from collections import Counter
from datetime import UTC, datetime

import pytest

from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import fold
from fieldapp.log.store import read_log

WRITERS = 30
NOW = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(),
                                reason="the child that is killed is made by fork")


def write_until_killed(site, log, answers, life):
    """In the child: thirty writers fit and take down a part each, and say each key once it was answered."""
    book = SiteBook.open(site.kit, site.plan, log)

    def write(part, number):
        for turn in range(10_000):
            kind = "taken_down" if book.state.parts[part].fitted_at else "fitted"
            key = f"{life}.{number}.{turn}"
            for _ in range(2):
                outcome = book.submit(Request(key, kind, part), NOW)
                assert isinstance(outcome, Entry)
            os.write(answers, f"{key} {outcome.number}\n".encode())

    parts = [part.id for part in site.kit.parts if part.made_for][:WRITERS]
    threads = [threading.Thread(target=write, args=(part, number)) for number, part in enumerate(parts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def live_and_die(site, log, life, seconds):
    """Start a child, kill it without warning, and give the answers it had sent: key → number."""
    reading, writing = os.pipe()
    child = multiprocessing.get_context("fork").Process(target=write_until_killed, args=(site, log, writing, life))
    child.start()
    os.close(writing)
    with os.fdopen(reading) as answers:
        heard = [answers.readline()]
        timer = threading.Timer(seconds, os.kill, (child.pid, signal.SIGKILL))
        timer.start()
        heard += answers.readlines()
        timer.join()
    child.join()
    assert child.exitcode == -signal.SIGKILL
    return {key: int(number) for key, number in (line.split() for line in heard if line.endswith("\n"))}


def lives(site, log, kills, chance):
    """Kill it again and again on one file; after each time all that was ever answered is there, once."""
    answered: dict[str, int] = {}
    for life in range(kills):
        answered |= live_and_die(site, log, life, chance.uniform(0.0, 0.25))
        kept = read_log(log)
        assert max(Counter(entry.key for entry in kept).values()) == 1
        assert answered.items() <= {entry.key: entry.number for entry in kept}.items()
    return answered


def test_ten_kills(site, tmp_path):
    answered = lives(site, tmp_path / "log.sqlite", 10, random.Random(73))
    with SiteBook.open(site.kit, site.plan, tmp_path / "log.sqlite") as book:
        assert book.state == fold(site.kit, book.entries())
        assert not book.state.clashes
        assert len(answered) <= book.last_number <= len(answered) + 10 * WRITERS
        assert len({key.split(".")[0] for key in answered}) == 10
        print(f"{len(answered)} answered over 10 lives, {book.last_number} kept")


@pytest.mark.bench
def test_a_hundred_kills(site, tmp_path):
    assert len(lives(site, tmp_path / "log.sqlite", 100, random.Random(74))) > 100
