"""Free ends, a low foot and spread hubs on feet that lift and slip: never more than on pinned feet, and by hand."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.base.constants import GAMMA_G, GAMMA_Q
from fieldapp.statics.feet.at_once import push_at_once, pushes_at_once
from fieldapp.statics.feet.footing import footing
from fieldapp.statics.feet.low import hangs_free, low_at_once, spread_at_once
from fieldapp.statics.feet.pushes import unit_pushes
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.starts import HANGS_MM, all_ways, starts_of
from fieldapp.statics.feet.strength import answers, cases_of
from fieldapp.statics.feet.under_weight import lasting_uses, standing, weight_at_once
from fieldapp.statics.free_ends import end_pushes
from fieldapp.statics.governs import ARM, FREE_END, LOW_HUB, PUSH, TUBE, UNKNOWN, Governs, Limit
from fieldapp.statics.limits import lag_limit
from fieldapp.statics.loads import pushed_apart
from fieldapp.statics.response import response
from fieldapp.statics.solved import with_model


@pytest.fixture(scope="module")
def loose(half_up):
    of, tubes, names, _top = half_up
    return standing(feet_of(of, footing(names, friction=0.3)), tubes)


def test_a_push_at_a_free_end_slides_the_frame_as_the_same_push_at_the_hub_does_and_turns_it_more(half_up, loose):
    of, tubes, _names, top = half_up
    held = next((of.stage.model.strut_names[strut], top) for strut in range(len(of.stage.model.strut_names))
                if strut not in of.stage.struts and of.stage.model.hub_index[top] in of.stage.model.ends[strut])
    unit = response(of.ready, end_pushes(of.stage, [held])) * GAMMA_Q
    (end,) = pushes_at_once(loose, tubes, [Limit(FREE_END, np.inf, held[0])], unit)
    hub = push_at_once(loose, tubes, Limit(PUSH, np.inf, top))
    assert 0 < end.value <= hub.value * 1.02
    forces = loose.starts.feet.pressing_n(unit).reshape(3, -1, 3).sum(axis=1)
    assert forces == pytest.approx(GAMMA_Q * np.eye(3), abs=1e-6)  # the feet bear the push, whatever its lever


def test_several_places_at_once_are_told_what_each_is_told_alone(half_up, loose):
    _of, tubes, _names, top = half_up
    hubs = [top, next(name for name in loose.starts.feet.of.stage.model.hub_names if name != top)]
    asked = [Limit(PUSH, 500.0, hub, Governs(ARM)) for hub in hubs]
    both = pushes_at_once(loose, tubes, asked, unit_pushes(loose.starts.feet, *hubs))
    assert [one.value for one in both] == [push_at_once(loose, tubes, one).value for one in asked]


def test_the_weight_on_loose_feet_counts_for_as_long_as_the_frame_stands(half_up):
    of, tubes, names, _top = half_up
    feet = feet_of(of, footing(names, friction=0.3))
    short, for_good = (weight_at_once(standing(feet, replace(tubes, lasting=share))) for share in (1.0, 1e-3))
    assert for_good.governs.what == TUBE
    assert for_good.value < 0.1 * short.value


def test_a_foot_may_sit_no_lower_than_on_pins_and_than_what_hangs_free_bears(half_up, loose):
    of, tubes, names, _top = half_up
    numbers = np.array([of.stage.model.hub_index[name] for name in names])
    pinned = lag_limit(of, numbers, tubes.under_weight, arms_left=of.stage.model.arm_lasting)
    assert low_at_once(loose, tubes, pinned).limit(LOW_HUB).value >= pinned.value  # pins are careful here: as a rule
    weak = low_at_once(loose, tubes.weakened(1e-4), pinned)
    assert weak.limit(LOW_HUB).value < pinned.value
    assert weak.governs.what == TUBE


def test_spreading_bears_no_more_on_loose_feet_and_names_what_ends_it(half_up, loose):
    of, tubes, _names, _top = half_up
    strut = of.stage.model.strut_names[int(of.stage.struts[-1])]
    pair = response(of.ready, pushed_apart(of.stage, strut))
    force_n, governs = spread_at_once(loose, tubes, pair, (1e6, Governs(ARM, strut)))
    assert 0 < force_n < 1e6
    assert governs.what in (ARM, TUBE)
    assert "feet" in governs.taken
    wild = replace(loose, starts=replace(loose.starts, states=replace(
        loose.starts.states, settled=np.zeros(len(loose.starts.history), dtype=bool))))
    assert spread_at_once(wild, tubes, pair, (1000.0, None)) == (0.0, Governs(UNKNOWN))


def test_a_foot_may_sit_low_where_any_one_may_hang_free_and_between_it_is_no_worse(half_up, loose):
    of, tubes, _names, _top = half_up
    feet, worst = loose.starts.feet, {}
    assert hangs_free(loose, tubes)
    ways = [way for way in all_ways(feet) if way[0] == GAMMA_G and way[3] >= 0]
    for low_mm in (0.0, 0.05, 0.2, 1.0, HANGS_MM):
        starts = starts_of(feet, ways, low_mm=low_mm)
        pinned = cases_of(feet.of.weight, starts.weight_factor, np.zeros(len(ways), dtype=np.int64))
        worst[low_mm] = lasting_uses(answers(feet, pinned, starts.states), tubes, starts).most.max()
    assert all(use <= max(worst[0.0], worst[HANGS_MM]) * (1 + 1e-9) for use in worst.values())
    model = of.stage.model
    weak = with_model(of, replace(model, arm_capacity=model.arm_capacity * 0.9 * worst[HANGS_MM]))
    assert not hangs_free(loose.bearing(weak, tubes.weakened(0.9 * worst[HANGS_MM])), tubes)
