"""Bounds by the ends of tubes leave out only what never counts: answers are those of every tube along its length."""

from dataclasses import replace

import numpy as np
import pytest

from fieldapp.statics import loads
from fieldapp.statics.response import response
from fieldapp.statics.solved import solved
from fieldapp.statics.stiffness import stage_of
from fieldapp.statics.tube_limits import pushed_tube_use, pushed_tubes, tube_bound, tube_factors
from fieldapp.statics.tubes import (
    bent_at_most_nmm,
    most_used,
    tube_capacity,
    tube_moments_nmm,
    tube_parts_nmm,
    tube_utilisation,
)
from fieldapp.statics.wind import wind_directions


@pytest.fixture(scope="module", params=[False, True], ids=["timber", "amplified"])
def stage(lean_dome, request):
    design, frame, made = lean_dome
    of = solved(stage_of(made, [hub.name for hub in frame.hubs]))
    tubes = tube_capacity(made, design).weakened(0.05)
    return of, replace(tubes, amplifies=np.full(len(tubes.amplifies), request.param))


def _any_loads(of):
    """Wind, pushes at hubs and at middles of tubes, with weight."""
    number = np.flatnonzero(~of.stage.fixed[:, 0])[:4]
    rows, force = np.arange(6), np.random.default_rng(2).normal(size=(6, 3)) * 50
    gust = response(of.ready, loads.wind(of.stage, wind_directions())) * 2e-4
    push = response(of.ready, loads.unit_pushes(of.stage, number)) * 40.0
    middle = response(of.ready, loads.at_middles(of.stage, rows, force))
    return [of.weight + one for one in (gust, push, middle)], gust, push * (1 / 40.0)


def test_the_most_used_tube_is_that_of_all_along_their_length(stage):
    of, tubes = stage
    for answer in (of.weight, *_any_loads(of)[0]):
        use, (most, at) = tube_utilisation(answer, tubes), most_used(answer, tubes)
        assert most == pytest.approx(use.max(axis=1), rel=1e-12)
        assert use[np.arange(len(at)), at] == pytest.approx(most, rel=1e-12)
        along = np.sqrt(np.square(tube_moments_nmm(answer)).sum(axis=3))
        assert (bent_at_most_nmm(tube_parts_nmm(answer)) >= along.max(axis=2)).all()
    empty = stage_of(of.stage.model, ["H01"])
    assert most_used(replace(of.weight, stage=empty, arms=of.weight.arms[:, :0], load=loads.on_hubs(
        empty, np.zeros((1, *empty.fixed.shape)))), tubes)[1].tolist() == [-1]


def test_loads_grow_until_the_first_tube_of_all_is_used_up(stage):
    of, tubes = stage
    _, gust, unit = _any_loads(of)
    for most in (1e-3, 3.0, 100.0):
        found = tube_bound(of.weight, gust, tubes, most)
        at = tube_utilisation(of.weight + gust * found.factor, tubes).max()
        beyond = tube_utilisation(of.weight + gust * (found.factor * 1.002), tubes)
        assert at <= 1.0 + 1e-12
        assert found.factor == most or beyond.max() > 1.0
        assert (found.strut < 0) == (found.factor == most)
        each, strut = tube_factors(of.weight, gust, tubes, np.full(len(gust.arms), most))
        assert each.min() == pytest.approx(found.factor, rel=2e-3)
        assert ((strut >= 0) == (each < most)).all()
        pushes = np.full(len(unit.arms) // 3, 50 * most)
        borne, governs = pushed_tubes(of.weight, unit, tubes, pushes)
        assert (pushed_tube_use(of.weight, unit, tubes, borne).max(axis=1) <= 1.0 + 1e-12).all()
        used = pushed_tube_use(of.weight, unit, tubes, borne * 1.002 + 0.002)
        assert ((borne == pushes) | (used.max(axis=1) > 1.0)).all()
        assert (of.stage.struts[used.argmax(axis=1)][borne < pushes] == governs[borne < pushes]).all()


def test_where_the_weight_is_too_much_already_nothing_more_is_borne(stage):
    of, tubes = stage
    _, gust, _ = _any_loads(of)
    assert tube_bound(of.weight * 1e4, gust, tubes, 3.0).factor == 0.0
    assert not tube_factors(of.weight * 1e4, gust, tubes, np.full(len(gust.arms), 3.0))[0].any()
