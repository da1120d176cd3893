"""The table of feet: what each presses and pulls, and what its peg must hold."""

import numpy as np

from fieldapp.statics.feet.demands import feet_table, feet_under_weight
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.reduced import feet_of


def test_feet_press_with_the_weight_and_pegs_hold_more_in_more_wind(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25))
    weight_n = -float(of.weight.load.hubs_n[0, :, 2].sum())
    forces = feet_under_weight(feet)
    assert [one.foot for one in forces] == list(names)
    assert sum(one.press_n for one in forces) >= weight_n
    pinned = of.ready.reactions(of.weight.displacements, of.weight.load.hubs_n)[0, feet.numbers]
    assert all(one.press_n >= press - 1e-6 for one, press in zip(forces, pinned[:, 2], strict=True))
    assert any(one.slips for one in forces)
    assert not any(one.slips for one in feet_under_weight(feet_of(of, footing(names, friction=50.0))))
    calm, windy, stormy = (feet_table(feet, "7", gust) for gust in (None, 8.0, 16.0))
    assert calm[0].under == "weight"
    assert stormy[0].under == "wind"
    for less, more in ((calm, windy), (windy, stormy)):
        assert sum(one.must_hold_side_n for one in more) > sum(one.must_hold_side_n for one in less)
        assert all(b.must_hold_up_n >= a.must_hold_up_n - 1e-6 for a, b in zip(less, more, strict=True))


def test_a_foot_that_the_weight_pulls_up_says_so(half_up):
    of, _tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.25))
    pulled = [one for one in feet_under_weight(feet) if one.pull_n > 0]
    lifted = feet.pressing_n(of.weight)[0, 2::3] > 0
    assert [one.foot for one in pulled] == [name for name, up in zip(names, lifted, strict=True) if up]
    assert all(one.lifts for one in pulled)
    assert np.isfinite([one.towards_deg for one in feet_under_weight(feet)]).all()
