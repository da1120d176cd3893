"""A raise, a breakage with its exchange and the strike by step cards alone, in three browser engines at 375 px.

    pip install -e '.[test,engines]'; pytest -m bench -s tests/bench/journeys

Taps and words are counted. An engine that is not here is skipped, and its name said.
"""

import threading
import time
from contextlib import contextmanager

import pytest
from at_the_laptop import at_the_laptop
from first_screen import MOST_WORDS, first_words

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import erection_plan
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.server import create_app
from fieldapp.web.server.serve import open_server
from tests.bench.journeys.engines import ENGINES, Chromium, NotHereError

pytestmark = [pytest.mark.bench, pytest.mark.timeout(3000)]
BROKEN, BREAKS_AFTER = "H20", 25
MOST_PRESSES = 66
"""A raise of 219 parts by cards: about 60, and the pegs."""
STOP_WITHIN_S = 5.0
LATE_S = 12.0
"""A press is kept in the phone after four seconds, and sent again by itself."""
SLIP_S = 6.0
"""What was written down the other way round less than five seconds ago is asked about."""


@contextmanager
def served(kit, plan, folder):
    """(address, book) of a kit on a free port of this machine."""
    with SiteBook.open(kit, plan, folder / "log.sqlite") as book:
        app = at_the_laptop(create_app(book))
        book.judge_starts(None)
        server = open_server(app, 0, host="127.0.0.1")
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.effective_port}", book
        server.close()
        app.extensions[BESIDE].stop()
        thread.join(timeout=10)


@pytest.fixture(scope="module")
def demo():
    kit = build_kit(orchard_hall())
    return kit, erection_plan(kit)


@pytest.fixture(params=ENGINES, ids=lambda engine: engine.__name__)
def screen(request):
    try:
        made = request.param()
    except NotHereError as why:
        pytest.skip(str(why))
    yield made
    made.close()


class ByCards:
    """One phone that does what its cards say."""

    def __init__(self, screen, address, book):
        self.screen, self.address, self.book, self.words, self.presses = screen, address, book, {}, 0
        self.late = 0

    def read(self):
        """The page that is open: its first words counted; as wide as the screen."""
        self.words[self.screen.path()] = len(first_words(self.screen.source()))
        assert self.screen.sideways_px() <= 0, f"{self.screen.path()} is wider than the screen"

    def steps(self, most, *, left=0):
        """Press the great button of one card after the other, beginning on the start page."""
        self.screen.go(f"{self.address}/")
        for _step in range(most):
            if len(self.book.state.fitted) == left and left:
                return
            if "/step/" not in self.screen.path():
                self.read()
                if self.screen.has("form[action='/feet/held'] button"):
                    self.pressed("form[action='/feet/held'] button")
                self.screen.press(".card a.go", "Step")
            self.read()
            self.pressed(".card button.go")
            if not self.screen.has(".card button.go") and self.screen.has(".card a.go"):
                self.screen.press(".card a.go")     # the answer came late, and the open card says what is next

    def pressed(self, css):
        """One press that writes something down; the page that follows, or, if the laptop was slow, the same one."""
        before = self.book.last_number
        try:
            self.screen.press(css, most_s=LATE_S)
        except AssertionError:
            self.late += 1
        self.presses += 1
        self.screen.until(lambda: self.book.last_number > before)

    def acted(self, css, page):
        """One press of an exchange; if the laptop was slow, `page` is opened again once it is written down."""
        before = self.book.last_number
        try:
            self.screen.press(css, most_s=LATE_S)
        except AssertionError:
            self.late += 1
            self.screen.until(lambda: self.book.last_number > before)
            self.screen.go(page)

    def exchange(self, place):
        """It broke: say so, then act by act as the page says; taps from the first to the last."""
        screen, taps = self.screen, self.screen.taps
        screen.go(f"{self.address}/place/{place}")
        screen.press(".card a.stop")
        screen.tick("input[name=what][value=arm_snapped]")
        screen.tick("input[name=where][value='2']")
        screen.tick("input[name=severity][value=bad]")
        page = f"{self.address}/exchange/{place}"
        self.acted("button.stop", page)
        if not screen.path().startswith("/exchange/"):
            screen.go(page)
        screen.until(lambda: screen.has("form[action$='/begin'] button"))
        if screen.has("input[name=held]"):
            screen.tick("input[name=held]")
        self.acted("form[action$='/begin'] button", page)
        for _act in range(40):
            if screen.has("form[action$='/end'] button.go"):
                break
            self.acted("form[action$='/tick'] button" if screen.has("form[action$='/tick'] button") else
                       "form[action^='/other/'] button.go", page)
        self.acted("form[action$='/end'] button.go", page)
        assert self.book.state.exchanging is None
        return screen.taps - taps


def test_up_a_break_and_down_by_cards(demo, tmp_path, screen):
    kit, plan = demo
    steps = plan.steps if isinstance(screen, Chromium) else plan.steps[:BREAKS_AFTER + 3]
    with served(kit, plan, tmp_path) as (address, book):
        phone = ByCards(screen, address, book)
        screen.go(f"{address}/raise")
        screen.press("form[action='/raise/start'] button")
        phone.steps(BREAKS_AFTER)
        first = book.state.fitted[BROKEN]
        acts = phone.exchange(BROKEN)
        assert book.state.fitted[BROKEN] != first
        phone.steps(len(steps) - BREAKS_AFTER)
        up, parts = phone.presses, len(book.state.fitted)
        assert parts == sum(len(step.places) for step in steps)
        screen.go(f"{address}/raise/strike")
        screen.press("form[action='/raise/strike'] button")
        time.sleep(SLIP_S)
        phone.steps(len(steps))
        assert not book.state.fitted
        print(f"{type(screen).__name__}: {parts} parts up by {up} presses, exchange of {BROKEN} by {acts} taps, "
              f"down by {phone.presses - up}; at most {max(phone.words.values())} words first; {phone.late} came late")
        assert up <= MOST_PRESSES
        assert {page: words for page, words in phone.words.items() if words > MOST_WORDS} == {}


def test_three_phones_and_a_board(demo, tmp_path):
    kit, plan = demo
    first = Chromium()
    with served(kit, plan, tmp_path) as (address, book):
        phones = [first, Chromium(of=first), Chromium(of=first)]
        board = Chromium(1280, 800, of=first)
        first.go(f"{address}/raise")
        first.press("form[action='/raise/start'] button")
        ByCards(first, address, book).steps(20)
        board.go(f"{address}/board")
        taken = []
        for phone in phones:
            phone.go(f"{address}/")
            phone.press(".card a.go", "Step")
            phone.press("form[action$='/take'] button")
            taken.append(phone.path())
        assert len(set(taken)) == len(phones), taken
        board.until(lambda: all(path.rpartition("/")[2] in board.text() for path in taken))
        first.go(f"{address}/stop")
        first.press("form[action='/stop'] button")
        late = [one.until(lambda one=one: one.has(".alarm.loud", "Shout or whistle too"), STOP_WITHIN_S)
                for one in (*phones[1:], board)]
        phones[1].press(".alarm button", "I have seen it")
        board.until(lambda: len(book.state.stop.seen) == 1)
        board.until(lambda: "Have said that they know" in board.text())
        board.press("form[action='/stop/lift'] button")
        phones[2].until(lambda: not phones[2].has(".alarm.loud"), STOP_WITHIN_S)
        print(f"three phones on {', '.join(taken)}; a stop shown after {max(late):.1f} s at most")
    first.close()
