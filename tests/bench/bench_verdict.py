"""The verdict over 2,000 random states: what `tests/reports/verdict` holds of 100."""

import pytest
from verdict_held import hold, leaned_on, pocket_copy_and_terminal
from verdict_walks import Walk, sites

pytestmark = pytest.mark.bench
IN_HAND = 10
"""One state in so many is also looked at in the pocket copy and in the terminal, which cost more than all pages."""


@pytest.fixture(scope="module")
def frames():
    return sites()


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize(("name", "damages"), [("ground", True), ("pegs", True), ("lift", True), ("lift", False)])
def test_random_states(frames, name, damages, seed):
    for number, state in enumerate(Walk(frames[name], f"bench {name} {seed}", damages=damages).states(20)):
        hold(frames[name], state)
        leaned_on(frames[name], state)
        if number % IN_HAND == 0:
            pocket_copy_and_terminal(frames[name], state)
