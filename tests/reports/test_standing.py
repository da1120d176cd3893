"""What really stands, on the demo kit: held against the plan step by step, out of order, damaged, mended, carried."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit.build import build_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.rules import Site, decide
from fieldapp.plan.order import judged_plan
from fieldapp.plan.planner import way_plan
from fieldapp.plan.stages import fitted_after
from fieldapp.reports.progress import places_of
from fieldapp.reports.standing import standing

MORNING = datetime(2026, 9, 5, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def kit():
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def site(kit):
    return Site(kit, judged_plan(kit, kit.design).plan)


def with_fitted(kit, places):
    """A state in which these places hold the parts made for them."""
    blank = fold(kit, ())
    fitted = {place: kit.by_place[place].id for place in places}
    parts = {**blank.parts, **{part: replace(blank.parts[part], fitted_at=place) for place, part in fitted.items()}}
    return replace(blank, fitted=fitted, parts=parts)


def after_steps(site, count):
    return with_fitted(site.kit, dict.fromkeys(place for step in site.plan.steps[:count] for place in places_of(step)))


def test_holds_are_the_plans_at_every_step(site):
    for number, step in enumerate(site.plan.steps, start=1):
        assert set(standing(site, after_steps(site, number)).held_hubs) == set(step.holds), step.number


@pytest.mark.parametrize("way", ["crown first", "crown set on last", "wedge by wedge"])
def test_every_way_rests_on_what_its_plan_says(kit, way):
    site = Site(kit, way_plan(kit, way))
    for number, step in enumerate(site.plan.steps, start=1):
        now, planned = standing(site, after_steps(site, number)), fitted_after(site.plan, number)
        assert set(now.stands_on) == set(planned.stands_on), step.number
        assert set(now.carried_at) == set(planned.carried_at), step.number
        assert set(now.held_hubs) == set(step.holds), step.number
