"""The server killed at random while thirty phones write: what was answered is there, and all of it once.

Every phone keeps an entry until it was answered, as the queue of the pages does, and sends it to the next server first.
"""

import http.client
import json
import multiprocessing
import random
import threading
import time
from collections import Counter

import pytest
from at_the_laptop import at_the_laptop

from fieldapp.kit.file import read_kit
from fieldapp.log.fold import fold
from fieldapp.log.opening import open_book
from fieldapp.log.reading import read_log
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server

PHONES = 30

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(),
                                reason="the server that is killed is made by fork, to be there soon")


def serve_until_killed(folder, say):
    """In the child: what `raisebook serve` runs, without its words."""
    with open_book(folder) as book:
        server = open_server(at_the_laptop(create_app(book)), 0, host="127.0.0.1")
        say.send(server.effective_port)
        server.run()


class Sender(threading.Thread):
    """A phone that fits a part and takes it down, over and over, as long as the server lives."""

    def __init__(self, number, part):
        super().__init__()
        self.number, self.part = number, part
        self.turn = 0
        self.answered = {}

    def life(self, port):
        """To be called for every server; the entry that got no answer comes first."""
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        try:
            while True:
                self.one(connection)
        except (OSError, http.client.HTTPException):
            connection.close()

    def one(self, connection):
        key = f"phone-{self.number}-turn-{self.turn:06d}"
        body = json.dumps({"entries": [{"key": key, "kind": "taken_down" if self.turn % 2 else "fitted",
                                        "part": self.part}]})
        connection.request("POST", "/api/entries", body, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        said = json.loads(answer.read())
        assert answer.status == 200, said
        assert said["answers"][0]["kept"], said
        self.answered[key] = said["answers"][0]["entry"]["number"]
        self.turn += 1


def answers(phones):
    return sum(phone.turn for phone in phones)


def one_life(folder, phones, seconds):
    """A server starts, is written to by all, and is killed without warning."""
    hear, say = multiprocessing.Pipe(duplex=False)
    server = multiprocessing.get_context("fork").Process(target=serve_until_killed, args=(folder, say))
    server.start()
    assert hear.poll(30)
    port = hear.recv()
    threads = [threading.Thread(target=phone.life, args=(port,)) for phone in phones]
    before = answers(phones)
    for thread in threads:
        thread.start()
    while answers(phones) == before:
        assert server.is_alive()
        time.sleep(0.01)
    time.sleep(seconds)
    server.kill()
    server.join()
    assert server.exitcode != 0
    for thread in threads:
        thread.join()


def lives(folder, kills, chance):
    """Kill it again and again on one log; after each time all that was ever answered is there, once."""
    parts = [part.id for part in read_kit(folder).parts if part.made_for][:PHONES]
    phones = [Sender(number, part) for number, part in enumerate(parts)]
    for _ in range(kills):
        one_life(folder, phones, chance.uniform(0.05, 0.5))
        kept = read_log(folder / "log.sqlite")
        assert max(Counter(entry.key for entry in kept).values()) == 1
        answered = {key: number for phone in phones for key, number in phone.answered.items()}
        assert answered.items() <= {entry.key: entry.number for entry in kept}.items()
        assert len(kept) <= len(answered) + PHONES
    return phones


def test_ten_kills(folder):
    phones = lives(folder, 10, random.Random(73))
    with open_book(folder) as book:
        assert book.state == fold(book.site.kit, book.entries())
        assert not book.state.clashes
        for phone in phones:
            mine = [entry for entry in book.entries() if entry.part == phone.part]
            assert [entry.key for entry in mine][:phone.turn] == list(phone.answered)
            assert [entry.kind for entry in mine] == (["fitted", "taken_down"] * len(mine))[:len(mine)]
        print(f"{answers(phones)} answered over 10 lives, {book.last_number} kept")
    assert answers(phones) > PHONES


@pytest.mark.bench
def test_a_hundred_kills(folder):
    phones = lives(folder, 100, random.Random(74))
    print(f"\n{answers(phones)} answered over 100 lives")
    assert answers(phones) > 10 * PHONES
