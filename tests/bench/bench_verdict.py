"""The verdict over 2,000 random states: what `tests/reports/verdict` holds of 100."""

import pytest
from verdict_held import hold, leaned_on, pocket_copy_and_terminal
from verdict_walks import Walk, sites

pytestmark = pytest.mark.bench


@pytest.fixture(scope="module")
def frames():
    return sites()


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize(("name", "damages"), [("ground", True), ("pegs", True), ("lift", True), ("lift", False)])
def test_random_states(frames, name, damages, seed):
    for state in Walk(frames[name], f"bench {name} {seed}", damages=damages).states(20):
        hold(frames[name], state)
        leaned_on(frames[name], state)
        pocket_copy_and_terminal(frames[name], state)
