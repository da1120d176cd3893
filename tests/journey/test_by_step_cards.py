"""A whole raise and strike by step cards alone, on a phone without scripts: presses and words are counted."""

import html
import re
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from at_the_laptop import at_the_laptop
from first_screen import MOST_WORDS, first_words

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.web.common.i18n import languages
from fieldapp.web.server import create_app

SMALL = Design.model_validate({
    "frame": {"prefix": "OH", "frequency": 2, "cut": "1/2", "diameter_m": 5.0, "level_base": False},
    "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0}, "crew": {"people": 8, "teams": 1}})
MORNING = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)


class Phone:
    """Opens a card, reads its first screen, presses its great button with all that is ticked."""

    def __init__(self, app):
        self.client, self.presses, self.words = app.test_client(), 0, {}

    def do(self, at):
        """Press what the card offers; the address of the next page."""
        name, page = at.split("?")[0], self.read(at)
        form = re.search(r'<form id="step-press".*?</form>', page, re.DOTALL)
        assert form is not None, first_words(page)
        assert 'class="press go"' in form[0], f"{name} offers no press: {first_words(page)}"
        return self._post(name, form[0], {"act": _value(form[0], "act"), "in": re.findall(
            r'name="in" value="([^"]+)" checked', page)})

    def read(self, at, language="en"):
        """A page, its first words counted."""
        page, name = self.client.get(at, headers={"Accept-Language": language}).text, f"{at.split('?')[0]} {language}"
        self.words[name] = max(self.words.get(name, 0), len(first_words(page)))
        return page

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
    for language in languages():
        for at in ("/", "/place/H01", f"/p/{book.state.fitted['H01']}", f"/step/{steps[-1].places[0]}"):
            phone.read(at, language)
    assert all(past.not_scanned for past in book.state.parts.values() if past.fitted_at)
    app.test_client().post("/raise/strike", data={"key": "strike-strike-strike"})
    for _step in steps:
        phone.do(phone.client.get("/step").location)
        if len(book.state.fitted) < parts // 2:
            phone.read(phone.client.get("/step").location, "fr")
    assert not book.state.fitted
    assert {name: words for name, words in phone.words.items() if words > MOST_WORDS} == {}
