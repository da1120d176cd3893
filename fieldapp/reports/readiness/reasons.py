"""Why a kit is not fit: parts lacking, arms or tubes asked too much, parts that nobody has inspected."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from fieldapp.base.said import Number, Row, Said, Value, say
from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.reports.inspection import latest_round
from fieldapp.reports.inspection.again import OldCheck, checked_parts, old_said
from fieldapp.reports.parts.own_numbers import Strength
from fieldapp.reports.readiness.making import ClassKey, class_at, class_keys, class_said, handed_of
from fieldapp.reports.readiness.outfit import Outfit
from fieldapp.reports.standing.demand import StageUtilisation
from fieldapp.statics.causes import gives_way
from fieldapp.statics.untested import untested_said

Why = Literal["untested", "parts", "inspection", "again", "arm", "tube", "falls", "gives way"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that keeps the kit from being fit."""

    why: Why
    words: Value
    what_next: Said
    parts: tuple[str, ...] = ()
    """Parts concerned, by ID."""
    places: tuple[str, ...] = ()
    """Places concerned."""


def reasons_against(state: State, found: Outfit, strengths: Mapping[str, Strength], *,
                    old: Mapping[str, OldCheck]) -> tuple[Reason, ...]:
    """All that speaks against it, the gravest first; `old` are inspections that no longer count."""
    against = (_untested(state), _parts_lacking(state, found, strengths), _falls(found), _arm_over(state, found),
               _tube_over(found), _gives_way(found), _not_inspected(state, found),
               _seen_too_long_ago(state, found, old))
    return tuple(reason for reason in against if reason is not None)


def _untested(state: State) -> Reason | None:
    said = untested_said(state.kit.design)
    if said is None:
        return None
    return Reason("untested", said,
                  say("Break three or more that look worst, write the loads into the design, and make the kit again. "
                      "Until then no limit is known, and a competent person must decide."))


def _parts_lacking(state: State, found: Outfit, strengths: Mapping[str, Strength]) -> Reason | None:
    empty = found.allocation.empty
    if not empty:
        return None
    counted = Counter(class_at(state.kit, place) for place in empty)
    parts = Row(tuple(class_said(key, counted[key], handed_of(state.kit, key)) for key in class_keys(state.kit)
                      if counted[key]))
    return Reason("parts", say("{parts} lacking", parts=parts),
                  say("Make them, or mend and release quarantined ones of these classes."),
                  _to_mend(state, counted, strengths), empty)


def _to_mend(state: State, classes: Mapping[ClassKey, int], strengths: Mapping[str, Strength]) -> tuple[str, ...]:
    """Parts of these classes that would do, were they mended or found; those with nothing left in an arm too."""
    def concerned(part: Part) -> bool:
        past = state.parts[part.id]
        return bool(classes.get((part.kind, part.part_class))) and past.condition != "scrapped" and (
            not past.usable or strengths[part.id].weakest == 0.0)
    return tuple(part.id for part in state.all_parts() if concerned(part))


def _falls(found: Outfit) -> Reason | None:
    falling = [stage for stage in found.demand.stages if not stage.stands]
    if not falling:
        return None
    first = falling[0]
    return Reason("falls", say("step {step} does not stand, not even held", step=first.step),
                  say("Choose another way of raising."), places=(first.hub,))


def _arm_over(state: State, found: Outfit) -> Reason | None:
    worst = found.demand.worst_arm
    if worst.arm.utilisation <= 1.0 or not worst.stands:
        return None
    over = _hubs_over(state, found)
    next_said = say("Replace these parts, dry them, or choose another way of raising.") if len(over) > 1 else \
        _replace(found.allocation.part_at.get(worst.arm.hub) or say("a new hub"))
    return Reason("arm", _with_others(_asked(worst), len(over) - 1), next_said,
                  tuple(found.allocation.part_at.get(hub, "a new hub") for hub in over), tuple(over))


def _asked(worst: StageUtilisation) -> Said:
    """How much too much the worst arm is asked."""
    hub, strut, use = worst.arm.hub, worst.arm.strut, Number(worst.arm.utilisation, 2)
    if worst.locked_utilisation > 0.01:
        return say("the arm of {hub} on {strut} is asked {use} times what it can take at step {step}, {locked} of it "
                   "locked in by lengths", hub=hub, strut=strut, use=use, step=worst.step,
                   locked=Number(worst.locked_utilisation, 2))
    return say("the arm of {hub} on {strut} is asked {use} times what it can take at step {step}", hub=hub,
               strut=strut, use=use, step=worst.step)


def _with_others(said: Said, more: int) -> Said:
    """How many hubs besides are asked too much."""
    if more < 1:
        return said
    return say("{said}, and 1 more hub too much", said=said) if more == 1 else \
        say("{said}, and {n} more hubs too much", said=said, n=more)


def _replace(part: Value) -> Said:
    return say("Replace {part}, dry it, or choose another way of raising.", part=part)


def _hubs_over(state: State, found: Outfit) -> list[str]:
    """Hub places with an arm that is asked too much at any stage, the most used first."""
    frame, use = state.kit.frame, found.demand.arm
    most = {hub.name: max(float(use[frame.strut_index[arm.strut], arm.end - 1]) for arm in hub.arms)
            for hub in frame.hubs}
    return sorted((hub for hub in most if most[hub] > 1.0), key=lambda hub: -most[hub])


def _tube_over(found: Outfit) -> Reason | None:
    worst = found.demand.worst_tube
    if worst.tube_utilisation <= 1.0 or not worst.stands:
        return None
    part = found.allocation.part_at.get(worst.tube)
    return Reason("tube", say("strut {strut} is asked {use} times what it can take at step {step}", strut=worst.tube,
                              use=Number(worst.tube_utilisation, 2), step=worst.step),
                  _replace(part or say("a new strut")), (part or "a new strut",), (worst.tube,))


def _gives_way(found: Outfit) -> Reason | None:
    """What no arm and no tube is named for: the whole buckles, joints, or arms on feet that hang in the air."""
    demand, stage = found.demand, found.demand.least_borne
    if stage.bears.value >= 1.0 or not stage.stands or demand.worst_arm.arm.utilisation > 1.0 or \
            demand.worst_tube.tube_utilisation > 1.0:
        return None
    governs = stage.bears.governs
    places = tuple(filter(None, (governs.hub, governs.strut))) if governs else ()
    return Reason("gives way", say("step {step} is computed to give way under its weight: {cause}", step=stage.step,
                                   cause=gives_way(governs)),
                  say("Replace the weakest parts, dry them, or choose another way of raising."), places=places)


def _not_inspected(state: State, found: Outfit) -> Reason | None:
    seen = checked_parts(state)
    placed = set(found.allocation.part_at.values())
    waiting = tuple(part.id for part in state.all_parts() if part.id in placed and part.id not in seen)
    if not waiting:
        return None
    used = any(past.ended for past in state.raises)
    return Reason("inspection", _seen_of(len(waiting), len(placed), used=used) if seen else _nothing_seen(used=used),
                  _scan_them(state), waiting)


def _seen_too_long_ago(state: State, found: Outfit, old: Mapping[str, OldCheck]) -> Reason | None:
    """Parts seen in the latest round, but too long ago, or wetted or raised too often since."""
    placed = set(found.allocation.part_at.values())
    waiting = {part: why for part, why in old.items() if part in placed}
    if not waiting:
        return None
    return Reason("again", say("{n} of {all} parts to be seen again: {why}", n=len(waiting), all=len(placed),
                               why=old_said(waiting)), _scan_them(state), tuple(waiting))


def _scan_them(state: State) -> Said:
    chosen = latest_round(state)
    open_now = chosen is not None and chosen.closed is None
    return say("Scan them in round \"{words}\".", words=chosen.name) if chosen is not None and open_now else \
        say("Open an inspection round and scan every part.")


def _seen_of(waiting: int, placed: int, *, used: bool) -> Said:
    if used:
        return say("{n} of {all} parts not inspected since they were last used", n=waiting, all=placed)
    return say("{n} of {all} parts not inspected", n=waiting, all=placed)


def _nothing_seen(*, used: bool) -> Said:
    return say("nothing is inspected since they were last used") if used else say("nothing is inspected")
