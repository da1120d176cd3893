"""Every card of three frames, up and down, in every language: at most 60 words on the first screen.

    pytest -m bench -s tests/bench/bench_words.py
"""

from collections import Counter
from datetime import UTC, datetime

import pytest
from at_the_laptop import at_the_laptop
from first_screen import MOST_WORDS, first_words

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import Design
from fieldapp.frame.template import STARTER
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal, Request
from fieldapp.plan.order import erection_plan
from fieldapp.reports.raising import places_of
from fieldapp.web.common.i18n import languages
from fieldapp.web.server import create_app

pytestmark = pytest.mark.bench
NOW = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)


def a_vault():
    """A barrel vault that stands bay by bay."""
    design = Design.model_validate({
        **STARTER.model_dump(exclude={"given"}),
        "frame": {"name": "Garden vault", "prefix": "GV", "shape": "barrel vault"},
        "vault": {"width_m": 2.4, "height_m": 1.2, "length_m": 2.4, "arch_struts": 4, "bays": 2}})
    hub = {"reach_mm": 125.0, "ply_mm": 5.0, "arm_depth_mm": 54.0, "mass_kg": 0.6}
    return design.model_copy(update={
        "strut": design.strut.model_copy(update={"outer_mm": 38.0}), "hub": design.hub.model_copy(update=hub),
        "raising": design.raising.model_copy(update={"way": "bay by bay"})})


def a_first_frame():
    """As `raisebook new` proposes it."""
    return Design.model_validate(STARTER.model_dump(exclude={"given"}))


class Walk:
    """A whole raise and strike by step cards, every page looked at in every language."""

    def __init__(self, book):
        self.book, self.keys, self.words = book, 0, Counter()
        self.client = at_the_laptop(create_app(book, clock=lambda: NOW)).test_client()
        book.judge_starts(None)

    def write(self, kind, place=None, **data):
        """One entry that must be kept."""
        self.keys += 1
        wish = Request(f"key-of-the-words-{self.keys}", kind, place=place, data=data, chief=True)
        answer = self.book.submit(wish, NOW)
        assert not isinstance(answer, Refusal), answer.message

    def look(self, *paths):
        """Count the first words of pages; cards and the start page as they come after the last press."""
        for path in paths:
            told = "" if path.startswith(("/place/", "/p/")) else f"?done=key-of-the-words-{self.keys}"
            for language in languages():
                page = self.client.get(f"{path}{told}", headers={"Accept-Language": language})
                self.words[f"{language} {path} {self.book.state.phase}"] = len(first_words(page.text))

    def step(self, step, act):
        """Its card, the start page, its first and last place and their parts; then the press."""
        state, down = self.book.state, act == "taken_down"
        ends = (step.places[0], step.places[-1])
        held = {place: state.fitted[place] if down else state.allocation[place] for place in step.places}
        self.look(f"/step/{step.places[0]}", "/", *(f"/place/{place}" for place in ends),
                  *(f"/p/{held[place]}" for place in ends))
        self.write("step_done", step.places[0], places=list(held), parts=list(held.values()), act=act, scanned=[])


@pytest.mark.parametrize("design", [orchard_hall, a_first_frame, a_vault])
def test_no_first_screen_has_more_than_sixty_words(tmp_path, design):
    kit = build_kit(design())
    plan = erection_plan(kit)
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite") as book:
        walk = Walk(book)
        walk.write("raise_started", name="Harvest week")
        for step in plan.steps:
            for pegging in (each for each in plan.peggings if each.before == step.number):
                walk.look("/")
                walk.write("feet_held", feet=list(pegging.hubs))
            walk.step(step, "fitted")
        assert len(book.state.fitted) == sum(len(places_of(step)) for step in plan.steps)
        walk.look("/")
        walk.write("strike_started")
        for step in reversed(plan.steps):
            walk.step(step, "taken_down")
        walk.look("/")
    print(f"{kit.design.frame.name}: {len(walk.words)} pages, at most {max(walk.words.values())} words")
    assert {page: words for page, words in walk.words.items() if words > MOST_WORDS} == {}
