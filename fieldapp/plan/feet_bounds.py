"""What feet bear of a stage, loose or held as they are now: a source of bounds for every kind of limit.

Found at once (`statics.feet.at_once`): careful against what was followed in detail to an end that is known, and our
choice where that did not settle (G7).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from fieldapp.base.constants import GAMMA_Q
from fieldapp.plan.bounds import Bearing, bounded, capped
from fieldapp.plan.fitted import lies_flat
from fieldapp.plan.footing import footing_of
from fieldapp.statics.feet.at_once import (
    gust_at_once,
    gust_by_feet,
    of_strength,
    pinned_gust_m_s,
    pushes_at_once,
)
from fieldapp.statics.feet.gusts import as_wind_limit
from fieldapp.statics.feet.low import hangs_free, low_at_once, spread_at_once
from fieldapp.statics.feet.pegs_first import pegs_first
from fieldapp.statics.feet.pushes import unit_pushes
from fieldapp.statics.feet.reduced import feet_of
from fieldapp.statics.feet.under_weight import FeetStanding, standing, weight_at_once
from fieldapp.statics.free_ends import carried_by, end_pushes
from fieldapp.statics.governs import FREE_END, LOW_HUB, PUSH, WEIGHT, WIND, Governs, Limit
from fieldapp.statics.limits import push_limits
from fieldapp.statics.pushes import bear_pushes
from fieldapp.statics.response import Response, response
from fieldapp.statics.wind import WindLimit, bears_gust, wind_limit_at


def feet_bounds(stage: Bearing, kind: str, own: Sequence[Limit]) -> Iterable[Limit]:
    """Limits of a kind on feet that press, rub and are held as they are; none while the piece is carried.

    Source: (G7). Test: tests/plan/test_feet_bounds.py
    """
    answer = _ANSWERS.get(kind)
    stands = _standing(stage) if answer else None
    return answer(stage, stands, own) if answer and stands else ()


def _standing(stage: Bearing) -> FeetStanding | None:
    """As `_stood`, worked out once; of a stage as it bears loads, what it is under its weight stands no otherwise."""
    if _STANDS not in stage.kept:
        stands = _standing(stage.weighed) if stage.weighed else _stood(stage)
        stage.kept[_STANDS] = stands.bearing(stage.of, stage.case.tubes) if stands and stage.weighed else stands
    found: FeetStanding | None = stage.kept[_STANDS]
    return found


_STANDS = "feet under the weight"
"""Under which they are kept with the stage (in no formula)."""


def _stood(stage: Bearing) -> FeetStanding | None:
    """The feet under the weight; None where no foot carries a strut, the piece is in people's hands, or arms break on
    feet that stay already."""
    model = stage.case.model
    carries = {model.hub_names[int(hub)] for hub in stage.of.stage.ends.ravel()}
    feet = [hub for hub in stage.fitted.stands_on if hub in carries]
    if stage.fitted.carried_at or not feet or stage.of.design_utilisation > 1.0:
        return None
    on = footing_of(stage.case.design.ground, feet, stage.fitted.pegged)
    return replace(standing(feet_of(stage.of, on), stage.case.tubes),
                   locked_known=stage.known.use if stage.known else 0.0)


def wind_by_feet(stage: Bearing) -> WindLimit | None:
    """The wind that the stage bears, where its feet end it before arms and tubes can; None where they may not.

    Nor where tested joints may end it before.

    Source: (G7), (G8). Test: tests/plan/test_feet_bounds.py
    """
    if any(stage.case.design.joints_tested):
        return None
    stands = _standing(stage)
    told = gust_by_feet(stands, stage.case.tubes) if stands else None
    if told is None or not bears_gust(stage.of, stage.case.tubes, pinned_gust_m_s(told)):
        return None
    return wind_limit_at(stage.of, told.limit(WIND), told.from_deg or 0.0,
                         terrain=stage.case.design.raising.terrain)


def pushes_borne(stage: Bearing, hubs: Sequence[str]) -> dict[str, Limit]:
    """Hub → the push that it bears, by all that can end it; what arms and tubes bear is searched where it may matter.

    Source: (G7), (G9). Test: tests/plan/test_feet_bounds.py
    """
    early = _pushes_by_pegs(stage, hubs)
    left = [hub for hub in hubs if hub not in early]
    late = bounded(push_limits(stage.of, stage.case.tubes, left).values(), stage)
    return {hub: early.get(hub) or late[hub] for hub in hubs}


def _pushes_by_pegs(stage: Bearing, hubs: Sequence[str]) -> dict[str, Limit]:
    """Hub → the push that it bears, where its pegs end it before arms and tubes can; the others are left out.

    So are all where tested joints may end it before.
    """
    high = [hub for hub in hubs if hub not in stage.fitted.stands_on]
    if any(stage.case.design.joints_tested) or not high:
        return {}
    stands = _standing(stage)
    if not stands:
        return {}
    first = pegs_first(stands, stage.case.tubes, unit_pushes(stands.starts.feet, *high))
    found = {hub: one for hub, one in zip(high, first, strict=True) if one}
    if not found:
        return {}
    numbers = np.array([stage.of.stage.model.hub_index[hub] for hub in found], dtype=np.int64)
    sure = bear_pushes(stage.of, numbers, stage.case.tubes, np.array([one.pinned_n for one in found.values()]))
    return {hub: capped(one.told.limit(PUSH, hub)) for (hub, one), good in zip(found.items(), sure, strict=True)
            if good}


def pulled_on_feet(stage: Bearing) -> Response | None:
    """Answers under 1.35 × weight in the most harmful ways to stand; None where nothing stands on feet."""
    stands = _standing(stage)
    return stands.answer if stands else None


def low_free(stage: Bearing) -> bool:
    """True if any one foot may sit so low that it hangs free, and no tested joint may end it before.

    Source: (G10). Test: tests/plan/test_feet_bounds.py
    """
    stands = _standing(stage)
    return stands is not None and not any(stage.case.design.joints_tested) and hangs_free(stands, stage.case.tubes)


def _weight(_stage: Bearing, stands: FeetStanding, _own: Sequence[Limit]) -> Iterator[Limit]:
    yield weight_at_once(stands).limit(WEIGHT)


def _pushes(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    """At hubs above the ground; nobody leans on a foot."""
    high = [limit for limit in own if limit.at not in stage.fitted.stands_on]
    if high:
        unit = unit_pushes(stands.starts.feet, *(limit.at for limit in high))
        found = pushes_at_once(stands, stage.case.tubes, high, unit)
        yield from (bound.limit(PUSH, limit.at) for limit, bound in zip(high, found, strict=True))


def _free_ends(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    """Of struts that hang on a hub of the stage. What the strut and its own arm bear no foot changes: all of it counts.

    What lies on the ground may be shoved about.
    """
    if lies_flat(stage.case.frame, stage.fitted):
        return
    named = {limit.at: limit for limit in own if limit.governs and limit.value > 0}
    held = carried_by(stage.of.stage, [(strut, limit.governs.hub) for strut, limit in named.items() if limit.governs])
    if held:
        unit = response(stage.of.ready, end_pushes(stage.of.stage, held)) * GAMMA_Q
        asked = [replace(named[strut], value=named[strut].value / of_strength(stands)) for strut, _ in held]
        found = pushes_at_once(stands, stage.case.tubes, asked, unit)
        yield from (bound.limit(FREE_END, strut) for (strut, _), bound in zip(held, found, strict=True))


def _low_hub(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    for limit in own:
        yield low_at_once(stands, stage.case.tubes, limit).limit(LOW_HUB, limit.at)


def spread_on_feet(stage: Bearing, pair: Response, pinned: tuple[float, Governs | None]
                   ) -> tuple[float, Governs | None]:
    """Largest pair of forces that spreads two hubs, and what gives way: on pinned feet and on these. [N]

    Source: (G10). Test: tests/statics/feet/test_low.py
    """
    stands = _standing(stage)
    return spread_at_once(stands, stage.case.tubes, pair, pinned) if stands else pinned


def _wind(stage: Bearing, stands: FeetStanding, own: Sequence[Limit]) -> Iterator[Limit]:
    for limit in own:
        if isinstance(limit, WindLimit):
            yield as_wind_limit(gust_at_once(stands, stage.case.tubes, limit), limit)


_ANSWERS = {WEIGHT: _weight, PUSH: _pushes, FREE_END: _free_ends, LOW_HUB: _low_hub, WIND: _wind}
"""By kind of limit (in no formula)."""
