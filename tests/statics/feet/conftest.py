"""A dome half up, on its feet."""

import pytest

from fieldapp.statics.solved import solved
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tubes import tube_capacity


@pytest.fixture(scope="session")
def half_up(small_dome):
    """(solved stage, tubes, names of the feet, a hub on top): two rings and a part of the third."""
    design, frame, model = small_dome
    rings = [[hub.name for hub in frame.hubs if hub.level == level] for level in (1, 2, 3)]
    of = solved(stage_of(model, [*rings[0], *rings[1], *rings[2][:2]]))
    return of, tube_capacity(model, design), tuple(rings[0]), rings[2][1]
