"""A whole raise and strike by step cards alone, on a phone without scripts: presses and words are counted."""

import html
import re
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from at_the_laptop import at_the_laptop

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.web.server import create_app

SMALL = Design.model_validate({
    "frame": {"prefix": "OH", "frequency": 2, "cut": "1/2", "diameter_m": 5.0, "level_base": False},
    "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0}, "crew": {"people": 8, "teams": 1}})
MOST_WORDS = 60
MORNING = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)


class Phone:
    """Opens a card, reads its first screen, presses its great button with all that is ticked."""

    def __init__(self, app):
        self.client, self.presses, self.words = app.test_client(), 0, {}

    def do(self, at):
        """Press what the card offers; the address of the next page."""
        page = self.client.get(at).text
        name = at.split("?")[0]
        self.words[name] = max(self.words.get(name, 0), len(_first_screen(page)))
        form = re.search(r'<form id="step-press".*?</form>', page, re.DOTALL)
        assert form is not None, _first_screen(page)
        assert 'class="press go"' in form[0], f"{name} offers no press: {_first_screen(page)}"
        return self._post(name, form[0], {"act": _value(form[0], "act"), "in": re.findall(
            r'name="in" value="([^"]+)" checked', page)})

    def peg(self):
        """Whatever the start page says is to be pegged first."""
        page = self.client.get("/").text
        form = re.search(r'<form method="post" action="/feet/held">.*?</form>', page, re.DOTALL)
        if form is not None:
            self._post("/feet/held", form[0], {"feet": _value(form[0], "feet"), "how": _value(form[0], "how")})

    def _post(self, to, form, fields):
        self.presses += 1
        answer = self.client.post(to, data={"key": _value(form, "key"), **fields}, headers={"Origin": "http://localhost"})
        assert answer.status_code == 303, answer.text
        return answer.location


def _value(form, name):
    found = re.search(rf'name="{name}" value="([^"]*)"', form)
    return html.unescape(found[1]) if found else ""


def _first_screen(page):
    """Words of the bar, the gust and the card, without pictures."""
    pieces = re.findall(r'<nav.*?</nav>|<p class="gust".*?</p>|<div class="card">.*?\n</div>\n', page, re.DOTALL)
    words = re.sub(r"<svg.*?</svg>", " ", " ".join(pieces), flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", words)).split()


@pytest.fixture
def site(tmp_path):
    kit, seconds = build_kit(SMALL), count(step=7)
    with SiteBook.open(kit, level_order(kit.frame, SMALL), tmp_path / "log.sqlite") as book:
        yield book, at_the_laptop(create_app(book, clock=lambda: MORNING + timedelta(seconds=next(seconds))))


@pytest.mark.parametrize("most", [13, pytest.param(99, marks=pytest.mark.bench)])
def test_a_frame_goes_up_and_comes_down_by_its_cards_alone(site, most):
    book, app = site
    phone, steps = Phone(app), book.site.plan.steps[:most]
    for _step in steps:
        phone.peg()
        phone.do(phone.client.get("/step").location)
    parts = sum(len(step.places) for step in steps)
    assert len(book.state.fitted) == parts
    assert not any(entry.data.get("waits_for") for entry in book.state.entries), "nothing was done out of its turn"
    assert phone.presses <= len(steps) + len(book.site.plan.peggings), f"{phone.presses} presses for {parts} parts"
    assert all(past.not_scanned for past in book.state.parts.values() if past.fitted_at)
    app.test_client().post("/raise/strike", data={"key": "strike-strike-strike"})
    for _step in steps:
        phone.do(phone.client.get("/step").location)
    assert not book.state.fitted
    assert {name: words for name, words in phone.words.items() if words > MOST_WORDS} == {}
