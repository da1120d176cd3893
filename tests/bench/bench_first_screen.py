"""What a card shows first on a small phone, by geometry: nothing of it under the fold, nothing covered by the buttons.

    pytest -m bench -s tests/bench/bench_first_screen.py

A sample of steps up and down, in every language, at 360 x 600: the cards of steps, places and parts.
"""

import re
import threading

import pytest
from at_the_laptop import at_the_laptop

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal, Request
from fieldapp.plan.order import erection_plan
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.i18n import languages
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server
from tests.bench.bench_words import NOW
from tests.bench.journeys.engines import Chromium, NotHereError

pytestmark = [pytest.mark.bench, pytest.mark.timeout(1500)]
WIDTH, HEIGHT = 360, 600
SHARES = (0.03, 0.25, 0.5, 0.75, 0.97)
"""Which steps are looked at, of all."""
BOXES = """
const box = (one) => { const r = one.getBoundingClientRect(); return {top: r.top, bottom: r.bottom, right: r.right}; };
const shown = (css) => [...document.querySelectorAll(css)].filter((one) => one.getClientRects().length);
const named = (one) => ({...box(one), words: one.textContent});
return {id: shown(".card .idline").map(box), where: shown(".card h1").map(named),
        picture: shown(".card .pictures").map(box), names: shown(".card .pictures svg text").map(named),
        hands: shown(".card > .hold").map(box), acts: shown(".card .acts").map(box)};"""


class Cards:
    """One phone for each language, and what was wrong on them."""

    def __init__(self, book, address):
        self.book, self.address, self.keys, self.wrong, self.lowest = book, address, 0, [], {}
        first = Chromium(WIDTH, HEIGHT)
        self.first = first
        self.phones = {language: Chromium(WIDTH, HEIGHT, of=first) for language in languages()}
        for language, phone in self.phones.items():
            phone.page.set_extra_http_headers({"Accept-Language": language})

    def write(self, kind, place=None, **data):
        self.keys += 1
        answer = self.book.submit(Request(f"key-of-a-first-screen-{self.keys}", kind, place=place, data=data,
                                          chief=True), NOW)
        assert not isinstance(answer, Refusal), answer.message

    def step(self, step, act):
        """The press of a whole step, with the pegs before it."""
        held = self.book.state.fitted if act == "taken_down" else self.book.state.allocation
        for pegging in self.book.site.plan.peggings:
            if pegging.before == step.number and act == "fitted":
                self.write("feet_held", feet=list(pegging.hubs))
        self.write("step_done", step.places[0], places=list(step.places), act=act,
                   parts=[held[place] for place in step.places], scanned=[])

    def look(self, step):
        """Its card, its first place and part."""
        state, place = self.book.state, step.places[0]
        part = state.fitted.get(place) or state.allocation[place]
        for path in (f"/step/{place}", f"/place/{place}", f"/p/{part}"):
            for language, phone in self.phones.items():
                phone.go(self.address + path)
                self.judge(f"{language} {path} {state.phase}", phone.run(BOXES), named="/step/" in path)

    def judge(self, page, found, *, named):
        """What lies outside the screen or under the buttons; neighbours that words name and the picture does not."""
        top = min((one["top"] for one in found["acts"]), default=HEIGHT)
        for what in ("id", "where", "picture", "hands"):
            for one in found[what]:
                self.lowest[what] = max(self.lowest.get(what, 0), one["bottom"])
                if one["bottom"] > top + 1 or one["right"] > WIDTH:
                    self.wrong.append((page, what, round(one["bottom"]), round(top)))
        if not (found["id"] and found["where"] and found["picture"] and found["acts"]):
            self.wrong.append((page, "lacks", [what for what, boxes in found.items() if not boxes], 0))
        if any(one["bottom"] > HEIGHT for one in found["acts"]):
            self.wrong.append((page, "acts", max(one["bottom"] for one in found["acts"]), HEIGHT))
        words, drawn = found["where"][0]["words"], {one["words"] for one in found["names"]}
        missing = set(re.findall(r"\b[HS]\d+", words)) - drawn
        if named and missing:
            self.wrong.append((page, "not in the picture", sorted(missing), words))


def test_a_small_phone_shows_all_of_a_card_at_once_in_every_language(tmp_path):
    kit = build_kit(orchard_hall())
    plan = erection_plan(kit)
    looked_at = {round(share * (len(plan.steps) - 1)) for share in SHARES}
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite") as book:
        app = at_the_laptop(create_app(book))
        book.judge_starts(None)
        server = open_server(app, 0, host="127.0.0.1")
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        try:
            cards = Cards(book, f"http://127.0.0.1:{server.effective_port}")
        except NotHereError as why:
            pytest.skip(str(why))
        cards.write("raise_started", name="Harvest week")
        for number, step in enumerate(plan.steps):
            if number in looked_at:
                cards.look(step)
            cards.step(step, "fitted")
        cards.write("strike_started")
        for number, step in reversed(list(enumerate(plan.steps))):
            if number in looked_at:
                cards.look(step)
            cards.step(step, "taken_down")
        cards.first.close()
        server.close()
        app.extensions[BESIDE].stop()
        thread.join(timeout=10)
    print(*cards.wrong, sep="\n")
    print({what: round(lowest) for what, lowest in cards.lowest.items()})
    assert cards.wrong == []
