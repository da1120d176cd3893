"""The demo arrives with a past that the rules admit, and with decisions to make."""

import pytest

from fieldapp.demo.first_raise import tell_first_raise
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit.build import build_kit
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.book import SiteBook
from fieldapp.plan import level_order


@pytest.fixture(scope="module")
def state(tmp_path_factory):
    design = orchard_hall()
    kit = build_kit(design)
    path = tmp_path_factory.mktemp("demo") / "log.sqlite"
    with SiteBook.open(kit, level_order(kit.frame, design), path, checklist=default_checks(design)) as book:
        tell_first_raise(book)
        return book.state


def test_the_past_of_the_demo_is_the_one_agreed(state):
    damage = [entry.data["what"] for entry in state.entries if entry.kind == "damaged"]
    assert sorted(damage) == ["arm_cracked", "arm_snapped", "label_gone", "label_gone", "soaked", "split"]
    assert sum(past.missing for past in state.parts.values()) == 1
    assert not state.fitted
    assert not state.clashes


def test_it_leaves_decisions_to_make(state):
    conditions = [past.condition for past in state.parts.values()]
    assert conditions.count("quarantined") >= 2
    assert "watch" in conditions
    checked = [entry for entry in state.entries if entry.kind == "checked"]
    assert 0 < len(checked) < len(state.parts)
    assert state.open_round is not None
