"""May a damaged part stay in? The stage solved with it sound and with what the damage leaves of it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import combinations
from typing import Literal

from fieldapp.kit.kit import PartKind
from fieldapp.log.damage import damage_named
from fieldapp.log.effects import defect_words
from fieldapp.log.kinds import DamagedData
from fieldapp.log.rules import Setting
from fieldapp.log.state import Defect, State
from fieldapp.plan.assemble import other_hub
from fieldapp.reports.parts.own_numbers import family_of, share_left
from fieldapp.reports.parts.replacements import Replacements, replacements
from fieldapp.reports.standing import BREAKS_AT, Hold, LooseEnd, Standing, standing

DamageVerdict = Literal["go on", "hold and replace", "stop", "in the stores"]


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where one verdict ends and the next begins."""

    stop_utilisation: float = BREAKS_AT
    """Arm utilisation under 1.35 × weight above which nobody stays under the frame: an arm is computed to break."""
    replace_utilisation: float = 0.5
    """Arm utilisation under 1.35 × weight above which the neighbours are propped: half is left for hands and wind [1].
    Source: our choice. Test: tests/reports/standing/test_standing.py"""
    wind_left: float = 0.8
    """Share of the wind limit that must be left to go on: below it the part is replaced at once, since no hand and
    no prop stands in for it in a gust [1].
    Source: our choice. Test: tests/reports/standing/test_standing.py"""
    most_loose: int = 1
    """Struts that may be left hanging on one arm, their free ends tied up; with more the part is replaced at once."""
    people_share: float = 0.5
    """Share of the crew that may be bound by holding; beyond it the frame is cleared [1].
    Source: our choice. Test: tests/reports/standing/test_standing.py"""


THRESHOLDS = Thresholds()

TOLD_FROM = 0.005
"""A neighbour's use that rises by less is not worth a word [1].
Source: our choice. Test: tests/reports/standing/test_standing.py"""
MOST_NEIGHBOURS = 5
"""Neighbours named (in no formula)."""


@dataclass(frozen=True, slots=True)
class LoadedHub:
    """A hub whose most used arm carries more than before."""

    hub: str
    arm: int
    strut: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class StoresAnswer:
    """What damage to a part that sits nowhere means for the plan."""

    home: str | None
    """The place it is meant for; None for a spare."""
    step: int | None
    steps_until: int | None
    """Steps that are open before its own."""
    spares_left: int
    """Usable spares of its class, this part not counted."""


@dataclass(frozen=True, slots=True)
class DamageAnswer:
    """The answer to one damage. Words: `wording.damage`."""

    part: str
    kind: PartKind
    place: str | None
    """Where it sits, or is meant to sit."""
    spot: int | None
    """Arm or end, as marked on the part."""
    left: float
    """Share of a sound arm, end or part that counts as left."""
    verdict: DamageVerdict
    holds: tuple[Hold, ...] = ()
    """What must be held or propped until it is replaced; nothing if all are to leave."""
    neighbours: tuple[LoadedHub, ...] = ()
    """The most loaded first."""
    before: Standing | None = None
    after: Standing | None = None
    """With the holds held."""
    stores: StoresAnswer | None = None
    replacements: Replacements | None = None
    """What could go to the place; None for spares."""
    stays_out: bool = True
    """False if it may be used as it is: only its label is gone, or it was called slight and the stage bears that."""
    striking: bool = False
    """True if the frame is coming down: then nothing is replaced."""
    blocks: bool = False
    """True while the frame goes up and this part must be replaced before anything goes on it: see `reports.verdict`."""
    own: str = ""
    """Letters of the kit: a part of another is called with its own."""


def damage_answer(site: Setting, state: State, part_id: str, *, damage: DamagedData, now: datetime) -> DamageAnswer:
    """What damage means at this moment.

    Parameters
    ----------
    site : Setting
    state : State
        Before or after the entry: the same damage at the same spot counts once.
    part_id : str
        Printed ID; PartIdError if there is no such part.
    damage : DamagedData
        What broke, where, how bad.
    now : datetime
        For replacements that are still drying.

    Returns
    -------
    DamageAnswer
        For any part in any state.
    """
    part, defect = state.part(part_id), _defect(state, part_id, damage)
    left = 1.0 if defect is None else share_left(defect, family_of(site.kit, part))
    spot = damage.arm if damage.arm is not None else damage.end
    place = state.parts[part_id].fitted_at
    bad = defect is not None and defect.unsafe
    if place is None:
        return DamageAnswer(part_id, part.kind, state.home_of(part_id), spot, left, "in the stores",
                            stores=_stores(site, state, part_id), stays_out=bad,
                            own=site.kit.design.frame.prefix,
                            replacements=_instead(site, state, state.home_of(part_id), now=now))
    before = standing(site, _with_defects(state, part_id, _others(state, part_id, damage)))
    broken = state if defect is None else _with_defects(state, part_id, (*_others(state, part_id, damage), defect))
    after, verdict = _judged(site, broken, before, around=_around(site, place))
    return DamageAnswer(part_id, part.kind, place, spot, left, verdict, holds=_new_holds(before, after, verdict),
                        neighbours=neighbours(before, after), before=before, after=after,
                        own=site.kit.design.frame.prefix,
                        replacements=_instead(site, state, place, now=now),
                        stays_out=bad or (defect is not None and verdict == "hold and replace"),
                        striking=state.phase == "striking",
                        blocks=bad and not _is_whole_or_comes_down(site, state))


def _is_whole_or_comes_down(site: Setting, state: State) -> bool:
    """True where nothing more goes on top."""
    return state.phase == "striking" or all(map(state.is_fitted, site.plan.step_of))


def _defect(state: State, part_id: str, damage: DamagedData) -> Defect | None:
    """As the log would have it; None if only a label is gone."""
    named = damage_named(state.part(part_id).kind, damage.what)
    if named is not None and named.label_only:
        return None
    unsafe = damage.severity != "slight" or (named is not None and named.always_bad)
    return Defect("", damage.what, defect_words(named, damage), damage.arm, damage.end, unsafe=unsafe)


def _others(state: State, part_id: str, damage: DamagedData) -> tuple[Defect, ...]:
    """Open defects of the part besides this one."""
    return tuple(defect for defect in state.parts[part_id].defects
                 if (defect.what, defect.arm, defect.end) != (damage.what, damage.arm, damage.end))


def _with_defects(state: State, part_id: str, defects: tuple[Defect, ...]) -> State:
    past = replace(state.parts[part_id], defects=defects)
    return replace(state, parts={**state.parts, part_id: past})


def _judged(site: Setting, broken: State, before: Standing, *,
            around: tuple[str, ...]) -> tuple[Standing, DamageVerdict]:
    """The stage with the damage, propped where that is enough, and the verdict."""
    after = standing(site, broken, near=around)
    if after.verdict == before.verdict == "clear":
        return after, "stop"
    if _bears(after) and not _asks_for_hands(before, after):
        return after, "hold and replace" if _asks_for_haste(before, after) else "go on"
    if _bears(after) and set(after.held_hubs) - set(before.held_hubs):
        return after, _if_hands(site, after)
    for held in _props(before, around):
        propped = standing(site, broken, held=held, near=around)
        if _bears(propped):
            return propped, _if_hands(site, propped)
    return after, "stop"


def _bears(stage: Standing) -> bool:
    return stage.stands_held and stage.worst_utilisation <= THRESHOLDS.stop_utilisation


def _asks_for_hands(before: Standing, after: Standing) -> bool:
    """True if the damaged stage must not be left alone."""
    more_hands = bool(set(after.held_hubs) - set(before.held_hubs)) or (before.stands and not after.stands)
    worse = after.worst_utilisation > max(THRESHOLDS.replace_utilisation, before.worst_utilisation + 1e-9)
    return more_hands or worse


def _asks_for_haste(before: Standing, after: Standing) -> bool:
    """True if it may be left alone for as long as a replacement takes, and no longer."""
    less_wind = before.wind is not None and after.wind is not None and \
        after.wind.speed_m_s < THRESHOLDS.wind_left * before.wind.speed_m_s
    return less_wind or len(new_loose(before, after)) > THRESHOLDS.most_loose


def _if_hands(site: Setting, stage: Standing) -> DamageVerdict:
    return "hold and replace" if len(stage.holds) <= THRESHOLDS.people_share * site.kit.design.crew.people else "stop"


def _around(site: Setting, place: str) -> tuple[str, ...]:
    """Hubs at which the neighbourhood of a place can be propped: the damaged hub first, or both ends of a strut."""
    frame = site.kit.frame
    if place in frame.strut_index:
        strut = frame.strut(place)
        return strut.end_1.hub, strut.end_2.hub
    return (place, *(other_hub(frame.strut(arm.strut), place) for arm in frame.hub(place).arms))


def _props(before: Standing, around: tuple[str, ...]) -> Iterable[tuple[str, ...]]:
    """What to try: one hub, then two, then all round; hubs on the ground need none."""
    free = [hub for hub in around if hub in before.hubs and hub not in before.stands_on]
    yield from combinations(free, 1)
    yield from combinations(free[:4], 2)
    if len(free) > 2:
        yield tuple(free)


def _new_holds(before: Standing, after: Standing, verdict: DamageVerdict) -> tuple[Hold, ...]:
    """The holds that the damage asks for, those of the stage itself with them."""
    if verdict != "hold and replace":
        return ()
    return tuple(sorted(after.holds, key=lambda hold: (hold.hub in before.held_hubs, hold.hub)))


def new_loose(before: Standing, after: Standing) -> tuple[LooseEnd, ...]:
    """Struts that hang on one arm only since the damage."""
    was = {end.strut for end in before.loose_ends}
    return tuple(end for end in after.loose_ends if end.strut not in was)


def neighbours(before: Standing, after: Standing) -> tuple[LoadedHub, ...]:
    """Hubs whose most used arm carries more than before, the most loaded first."""
    was = {one.hub: one.utilisation for one in before.arms}
    more = [LoadedHub(one.hub, one.arm, one.strut, was.get(one.hub, 0.0), one.utilisation) for one in after.arms
            if one.utilisation > was.get(one.hub, 0.0) + TOLD_FROM]
    return tuple(sorted(more, key=lambda one: (-one.after, one.hub))[:MOST_NEIGHBOURS])


def _instead(site: Setting, state: State, place: str | None, *, now: datetime) -> Replacements | None:
    return None if place is None else replacements(site, state, place, now=now)


def _stores(site: Setting, state: State, part_id: str) -> StoresAnswer:
    part, home = state.part(part_id), state.home_of(part_id)
    at = None if home is None else site.plan.step_of.get(home)
    homes = set(state.allocation.values())
    spares = sum(other.kind == part.kind and other.part_class == part.part_class and other.id not in homes
                 and other.id != part_id and state.parts[other.id].usable and state.parts[other.id].fitted_at is None
                 for other in state.all_parts())
    if at is None:
        return StoresAnswer(home, None, None, spares)
    opened = sum(step.hub not in state.fitted for step in site.plan.steps[:at])
    return StoresAnswer(home, site.plan.steps[at].number, opened, spares)
