"""The frame that `raisebook new` writes, made as it is: a first frame that anyone can raise from the ground.

That a hand saw with a stop and a jig hold ± 1.5 mm and ± 0.5° is common practice, no source.
"""

import json
import re

import pytest
from click.testing import CliRunner

from fieldapp.cli import main
from fieldapp.plan.fitup import ACCEPTABLE_UTILISATION


def _run(*words):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("first") / "frame"
    _run("new", folder)
    return folder


@pytest.fixture(scope="module")
def first_make(folder):
    return _run("make", folder)


@pytest.fixture(scope="module")
def ways(folder):
    return json.loads(_run("compare", folder, "--json"))


def test_it_is_small_and_of_timber(folder, first_make):
    answers = (folder / "design.toml").read_text(encoding="utf-8").splitlines()
    assert {"frequency = 2", 'cut = "1/2"', "diameter_m = 3.6", 'section = "rod"', 'material = "C24"'} <= set(answers)
    assert first_make.startswith("My frame: 26 hubs in 4 classes, 65 struts in 2 lengths\n")


def test_what_the_first_make_recommends_stands_at_every_step_within_reach(first_make):
    assert re.search(r"^Raising: ring by ring, 26 steps, .*; stands at every step; hold 1 at most$", first_make,
                     re.MULTILINE)
    assert "ut of reach" not in first_make


@pytest.mark.bench
def test_of_all_ways_the_one_recommended_stands_and_none_breaks_an_arm(first_make, ways):
    """Judges all four."""
    assert f"\nRaising: {ways['recommended']}, " in first_make
    way = next(way for way in ways["ways"] if way["way"] == ways["recommended"])
    assert (way["way"], way["breaks"], way["out_of_reach"], way["falls_if_let_go"]) == ("ring by ring", False, [], [])
    assert ways["out_of_reach"] == []
    assert len(ways["ways"]) == 4
    assert [way["way"] for way in ways["ways"] if way["breaks"]] == []
    assert ways["fit"]["locked_use"] < ACCEPTABLE_UTILISATION


@pytest.mark.thorough
def test_every_step_is_done_from_the_ground_and_no_arm_is_told_to_break(folder):
    said = _run("compare", folder, "--way", "ring by ring")
    assert said.count("; stand on the ground") == said.count("; stand on ") == 26
    assert not re.search(r"[Bb]reaks? (at|after|under)|will break|would break", said)


def test_a_hand_saw_and_a_jig_lock_in_less_than_a_fifth(first_make):
    assert ACCEPTABLE_UTILISATION == 0.2
    said = re.search(r"^Fit: with lengths within ± 1.5 mm and arms within ± 0.5°, one frame in twenty has more than "
                     r"(\d+)% of the strength of its worst arm locked in, most often at S\d+\.$",
                     first_make, re.MULTILINE)
    assert int(said[1]) <= 20
    assert "To keep it under 20%" not in first_make, "nothing has to be made better"
