"""The demo arrives with a past that the rules admit, and with decisions to make."""

import shutil

import pytest

from fieldapp.log.book import SiteBook


@pytest.fixture(scope="module")
def state(first_raise, tmp_path_factory):
    site, path = first_raise
    log = shutil.copy(path, tmp_path_factory.mktemp("demo"))
    with SiteBook.open(site.kit, site.plan, log, checklist=site.checklist) as book:
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
