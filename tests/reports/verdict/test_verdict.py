"""The verdict over random states of three frames, against a plain analysis: nothing green that is not borne."""

import pytest
from verdict_held import hold
from verdict_walks import Walk, sites


@pytest.fixture(scope="session")
def frames():
    return sites()


@pytest.mark.parametrize(("name", "damages", "walks", "each"), [
    ("ground", True, 5, 8), ("pegs", False, 5, 7), ("lift", True, 3, 8)])
def test_random_states(frames, name, damages, walks, each):
    for seed in range(walks):
        for state in Walk(frames[name], f"{name} {seed}", damages=damages).states(each):
            hold(frames[name], state)
