"""The footing: one value for all feet or one by place, refused with words; what is loose, what must be pegged first."""

import numpy as np
import pytest

from fieldapp.base.errors import StaticsError
from fieldapp.statics.feet.footing import GROUND_STIFFNESSES_N_MM, PEG_STIFFNESS_N_MM, footing

FEET = ("H01", "H02", "H03")


def test_one_value_or_one_by_place():
    on = footing(FEET, friction=0.4, peg_up_n={"H02": 60.0}, ballast_n={"H03": 200.0})
    assert on.friction.tolist() == [0.4] * 3
    assert on.peg_up_n.tolist() == [0.0, 60.0, 0.0]
    assert np.isinf(on.most_sideways_n).all()
    assert on.stiffnesses_n_mm == GROUND_STIFFNESSES_N_MM
    assert min(on.stiffnesses_n_mm) >= PEG_STIFFNESS_N_MM
    assert on.is_held
    assert not on.loose.is_held
    assert on.only(["H03", "H02"]).ballast_n.tolist() == [200.0, 0.0]


def test_feet_without_friction_and_peg_are_named():
    on = footing(FEET, friction={"H01": 0.4}, peg_side_n={"H02": 100.0})
    assert on.peg_before_anything == ("H03",)
    assert footing(FEET, friction=0.4, most_sideways_n=0.0).peg_before_anything == FEET


def test_values_that_cannot_be_are_refused():
    with pytest.raises(StaticsError, match=r"peg_up_n is given for H09, which is no foot of this stage; its feet are "
                                           r"H01, H02, H03"):
        footing(FEET, friction=0.4, peg_up_n={"H09": 60.0})
    with pytest.raises(StaticsError, match=r"friction of foot H01 must be 0 or more, got -0.1"):
        footing(FEET, friction=-0.1)
    with pytest.raises(StaticsError, match=r"ballast_n of foot H01 must be 0 or more, got nan"):
        footing(FEET, friction=0.4, ballast_n=float("nan"))
