"""What feet bear of a stage, loose or held as they are now: a source of bounds for weight, pushes and wind.

Found at once (`statics.feet.at_once`): careful against what was followed in detail to an end that is known, and our
choice where that did not settle (G7).
"""

from collections.abc import Iterable, Iterator, Sequence

from fieldapp.base.remembered import remembered
from fieldapp.plan.bounds import Bearing
from fieldapp.plan.footing import footing_of
from fieldapp.statics.feet.at_once import FeetStanding, gust_at_once, push_at_once, standing, weight_at_once
from fieldapp.statics.feet.gusts import as_wind_limit
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.governs import PUSH, WEIGHT, WIND, Limit
from fieldapp.statics.wind import WindLimit


def feet_bounds(stage: Bearing, kind: str, own: Sequence[Limit]) -> Iterable[Limit]:
    """Limits of a kind on feet that press, rub and are held as they are; none while the piece is carried.

    Source: (G7). Test: tests/plan/test_feet_bounds.py
    """
    answer = _ANSWERS.get(kind)
    stands = _standing(stage) if answer else None
    return answer(stage, stands, own) if answer and stands else ()


@remembered(4)
def _standing(stage: Bearing) -> FeetStanding | None:
    """The feet under the weight; None where no foot carries a strut, the piece is in people's hands, or arms break on
    feet that stay already."""
    model = stage.case.model
    carries = {model.hub_names[int(hub)] for hub in stage.of.stage.ends.ravel()}
    feet = [hub for hub in stage.fitted.stands_on if hub in carries]
    if stage.fitted.carried_at or not feet or stage.of.design_utilisation > 1.0:
        return None
    on = footing_of(stage.case.design.ground, feet, stage.fitted.pegged)
    return standing(feet_of(stage.of, on), stage.case.tubes)


def _weight(_stage: Bearing, stands: FeetStanding, _own: Sequence[Limit]) -> Iterator[Limit]:
    yield weight_at_once(stands).limit(WEIGHT)


def _pushes(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    """At hubs above the ground; nobody leans on a foot."""
    for limit in own:
        if limit.at not in stage.fitted.stands_on:
            yield push_at_once(stands, stage.case.tubes, limit).limit(PUSH, limit.at)


def _wind(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    for limit in own:
        if isinstance(limit, WindLimit):
            yield as_wind_limit(gust_at_once(stands, stage.case.tubes, limit), limit)


_ANSWERS = {WEIGHT: _weight, PUSH: _pushes, WIND: _wind}
"""By kind of limit (in no formula)."""
