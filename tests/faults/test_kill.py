"""Servers killed at random while thirty phones write: what was answered is there, all of it once, without a gap.

Every phone keeps an entry until it was answered, as the queue of the pages does, and sends it to the next server first;
some send what was answered once more. With the log on a database server there are two laptops, and the database, or one
process of it, is killed as well.
"""

import http.client
import json
import multiprocessing
import os
import random
import threading
import time

import pytest
from at_the_laptop import at_the_laptop
from faults.keeping import InFile, OnServer
from log.postgres import Server, binaries

from fieldapp.kit.file import read_kit
from fieldapp.log.fold import fold
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server

PHONES = 30

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(),
                                reason="the server that is killed is made by fork, to be there soon")


@pytest.fixture(params=["file", "database"])
def keeping(request, folder):
    """Both in the bench; else the one that this run is about, so that no run pays for both."""
    wanted = "database" if os.environ.get("RAISEBOOK_TEST_STORE") == "shared" else "file"
    if request.node.get_closest_marker("bench") is None and request.param != wanted:
        pytest.skip("in the check of the log's rules on a database server")
    if request.param == "file":
        yield InFile(folder)
        end_all()
        return
    if binaries() is None:
        pytest.skip("no PostgreSQL server here: apt-get install postgresql")
    server = Server(fsync="on", full_page_writes="on")
    server.ask("CREATE ROLE site LOGIN")
    yield OnServer(folder, server)
    end_all()
    server.remove()


def end_all():
    """Where a test failed, its servers live on: the run would wait for them."""
    for child in multiprocessing.active_children():
        child.kill()


def serve_until_killed(keeping, folder, say):
    """In the child: what the command runs, without its words."""
    with keeping.opened(folder) as book:
        server = open_server(at_the_laptop(create_app(book)), 0, host="127.0.0.1")
        say.send(server.effective_port)
        server.run()


class Sender(threading.Thread):
    """A phone that fits a part and takes it down, over and over, as long as the server lives."""

    def __init__(self, number, part):
        super().__init__()
        self.number, self.part = number, part
        self.turn = self.repeated = self.repeats = self.unanswered = 0
        self.answered = {}

    def life(self, port):
        """To be called for every server; the entry that got no answer comes first."""
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        try:
            while True:
                if self.turn % 4 == 3 and self.repeated != self.turn:
                    self.again(connection)
                self.one(connection)
        except (OSError, http.client.HTTPException):
            connection.close()

    def one(self, connection):
        key = f"phone-{self.number}-turn-{self.turn:06d}"
        number = self.number_of(connection, key, "taken_down" if self.turn % 2 else "fitted")
        if number is not None:
            self.answered[key] = number
            self.turn += 1

    def again(self, connection):
        """Its answer was lost, the phone thinks: the same key."""
        key = f"phone-{self.number}-turn-{self.turn - 1:06d}"
        number = self.number_of(connection, key, "fitted" if self.turn % 2 else "taken_down")
        assert number in (None, self.answered[key])
        self.repeated, self.repeats = self.turn, self.repeats + 1

    def number_of(self, connection, key, kind):
        """Of the entry as it was kept; None where the log takes nothing just now, and the phone waits a little."""
        body = json.dumps({"entries": [{"key": key, "kind": kind, "part": self.part}]})
        connection.request("POST", "/api/entries", body, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        said = json.loads(answer.read())
        if answer.status == 503:
            assert said["answers"][0]["code"] in ("log_away", "log_busy"), said
            self.unanswered += 1
            time.sleep(0.05)
            return None
        assert answer.status == 200, said
        assert said["answers"][0]["kept"], said
        return said["answers"][0]["entry"]["number"]


def answers(phones):
    return sum(phone.turn for phone in phones)


def started(keeping):
    """A serving process for each laptop, and its port."""
    for folder in keeping.folders:
        hear, say = multiprocessing.Pipe(duplex=False)
        server = multiprocessing.get_context("fork").Process(target=serve_until_killed, args=(keeping, folder, say))
        server.start()
        assert hear.poll(120)
        yield server, hear.recv()


def one_life(keeping, phones, chance):
    """Servers start, are written to by all, and are killed without warning, one after the other."""
    servers = list(started(keeping))
    ports = [port for _server, port in servers]
    threads = [threading.Thread(target=phone.life, args=(ports[index % len(ports)],))
               for index, phone in enumerate(phones)]
    before = answers(phones)
    for thread in threads:
        thread.start()
    while answers(phones) == before:
        assert all(server.is_alive() for server, _port in servers)
        time.sleep(0.01)
    time.sleep(chance.uniform(0.05, 0.5))
    keeping.disturb(chance)
    for server, _port in chance.sample(servers, len(servers)):
        time.sleep(chance.uniform(0.0, 0.3))
        server.kill()
        server.join()
        assert server.exitcode != 0
    for thread in threads:
        thread.join()


def lives(keeping, kills, chance):
    """Kill them again and again on one log; after each time all that was ever answered is there, once."""
    parts = [part.id for part in read_kit(keeping.folders[0]).parts if part.made_for][:PHONES]
    phones = [Sender(number, part) for number, part in enumerate(parts)]
    for _ in range(kills):
        one_life(keeping, phones, chance)
        kept = keeping.kept()
        assert [entry.number for entry in kept] == list(range(1, len(kept) + 1))
        assert len({entry.key for entry in kept}) == len(kept)
        answered = {key: number for phone in phones for key, number in phone.answered.items()}
        assert answered.items() <= {entry.key: entry.number for entry in kept}.items()
        assert len(kept) <= len(answered) + PHONES
    repeats, waits = (sum(getattr(phone, name) for phone in phones) for name in ("repeats", "unanswered"))
    print(f"\n{answers(phones)} answered over {kills} lives, {len(kept)} kept, {repeats} sent again, "
          f"{waits} told to wait")
    return phones


def test_ten_kills(keeping):
    phones = lives(keeping, 10, random.Random(73))
    for folder in keeping.folders:
        with keeping.opened(folder) as book:
            assert book.state == fold(book.site.kit, book.entries())
            assert not book.state.clashes
            for phone in phones:
                mine = [entry for entry in book.entries() if entry.part == phone.part]
                assert [entry.key for entry in mine][:phone.turn] == list(phone.answered)
                assert [entry.kind for entry in mine] == (["fitted", "taken_down"] * len(mine))[:len(mine)]
    assert answers(phones) > PHONES


@pytest.mark.bench
@pytest.mark.timeout(1800)
def test_a_hundred_kills(keeping):
    assert answers(lives(keeping, 100, random.Random(74))) > 10 * PHONES
