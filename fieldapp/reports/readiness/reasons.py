"""Why a kit is not fit: parts lacking, arms or tubes asked too much, parts that nobody has inspected."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from fieldapp.kit.kit import Part
from fieldapp.log.state import State
from fieldapp.reports.inspection import inspected_parts, latest_round
from fieldapp.reports.parts.own_numbers import Strength
from fieldapp.reports.readiness.making import ClassKey, class_at, class_keys, class_words, handed_of
from fieldapp.reports.readiness.outfit import Outfit

Why = Literal["parts", "inspection", "arm", "tube", "falls"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that keeps the kit from being fit."""

    why: Why
    words: str
    what_next: str
    parts: tuple[str, ...] = ()
    """Parts concerned, by ID."""
    places: tuple[str, ...] = ()
    """Places concerned."""


def reasons_against(state: State, found: Outfit, strengths: Mapping[str, Strength]) -> tuple[Reason, ...]:
    """All that speaks against it, the gravest first."""
    against = (_parts_lacking(state, found, strengths), _falls(found), _arm_over(state, found), _tube_over(found),
               _not_inspected(state, found))
    return tuple(reason for reason in against if reason is not None)


def _parts_lacking(state: State, found: Outfit, strengths: Mapping[str, Strength]) -> Reason | None:
    empty = found.allocation.empty
    if not empty:
        return None
    counted = Counter(class_at(state.kit, place) for place in empty)
    words = ", ".join(class_words(key, counted[key], handed_of(state.kit, key)) for key in class_keys(state.kit)
                      if counted[key])
    return Reason("parts", f"{words} lacking", "Make them, or mend and release quarantined ones of these classes.",
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
    return Reason("falls", f"step {first.step} does not stand, not even held", "Choose another way of raising.",
                  places=(first.hub,))


def _arm_over(state: State, found: Outfit) -> Reason | None:
    worst = found.demand.worst_arm
    if worst.arm.use <= 1.0 or not worst.stands:
        return None
    part = found.allocation.part_at.get(worst.arm.hub, "a new hub")
    over = _hubs_over(state, found)
    others = f", and {len(over) - 1} more hub{'' if len(over) == 2 else 's'} too much" if len(over) > 1 else ""
    locked = f", {worst.locked_use:.2f} of it locked in by lengths" if worst.locked_use > 0.01 else ""
    return Reason("arm", f"the arm of {worst.arm.hub} on {worst.arm.strut} is asked {worst.arm.use:.2f} times what "
                  f"it can take at step {worst.step}{locked}{others}",
                  f"Replace {part}, dry it, or choose another way of raising." if len(over) < 2 else
                  "Replace these parts, dry them, or choose another way of raising.",
                  tuple(found.allocation.part_at.get(hub, "a new hub") for hub in over), tuple(over))


def _hubs_over(state: State, found: Outfit) -> list[str]:
    """Hub places with an arm that is asked too much at any stage, the most used first."""
    frame, use = state.kit.frame, found.demand.arm
    most = {hub.name: max(float(use[frame.strut_index[arm.strut], arm.end - 1]) for arm in hub.arms)
            for hub in frame.hubs}
    return sorted((hub for hub in most if most[hub] > 1.0), key=lambda hub: -most[hub])


def _tube_over(found: Outfit) -> Reason | None:
    worst = found.demand.worst_tube
    if worst.tube_use <= 1.0 or not worst.stands:
        return None
    part = found.allocation.part_at.get(worst.tube, "a new strut")
    return Reason("tube", f"strut {worst.tube} is asked {worst.tube_use:.2f} times what it can take at step "
                  f"{worst.step}", f"Replace {part}, dry it, or choose another way of raising.", (part,), (worst.tube,))


def _not_inspected(state: State, found: Outfit) -> Reason | None:
    seen = inspected_parts(state)
    placed = set(found.allocation.part_at.values())
    waiting = tuple(part.id for part in state.all_parts() if part.id in placed and part.id not in seen)
    if not waiting:
        return None
    chosen = latest_round(state)
    since = " since they were last used" if any(past.ended for past in state.raises) else ""
    words = f"{len(waiting)} of {len(placed)} parts not inspected{since}" if seen else f"nothing is inspected{since}"
    open_now = chosen is not None and chosen.closed is None
    next_words = f"Scan them in round \"{chosen.name}\"." if chosen is not None and open_now else \
        "Open an inspection round and scan every part."
    return Reason("inspection", words, next_words, waiting)
