"""Answers that leave the statics nothing to compute with: each its message."""

import pytest

from fieldapp.base.errors import StaticsError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.statics.model import model


@pytest.mark.parametrize(("section", "answers", "message"), [
    ("hub", {"design_strength_mpa": 0.0, "test_loads_n": ()},
     r"hub\.design_strength_mpa must be above 0, got 0; leave the line out to use"),
    ("strut", {"density_kg_m3": 0.0}, r"strut material 'C24': .*densit.* must be above 0, got 0"),
    ("strut", {"youngs_modulus_mpa": 0.0}, r"strut material 'C24': .* must be above 0, got 0"),
    ("hub", {"test_loads_n": (18.0, 118.0), "test_scatter": None}, r"2 break tests scatter by .*: nothing is left"),
])
def test_messages(section, answers, message):
    design = orchard_hall()
    wrong = design.model_copy(update={section: getattr(design, section).model_copy(update=answers)})
    with pytest.raises(StaticsError, match=message):
        model(build_frame(design), wrong)
