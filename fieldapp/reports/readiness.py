"""Fit or not: whether the kit, as logged and inspected, can be raised; else why not, and what to make or mend."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from fieldapp.kit.checklist import Checklist
from fieldapp.kit.kit import Part
from fieldapp.log.state import Round, State
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.plan import Plan
from fieldapp.reports.demand import Demand
from fieldapp.reports.emergency import EmergencyFit, emergency_fits
from fieldapp.reports.inspection import inspected_parts, latest_round
from fieldapp.reports.making import ClassKey, MakingList, class_at, class_keys, class_words, handed_of, making_list
from fieldapp.reports.outfit import Outfit, outfit
from fieldapp.reports.smaller import SmallerFrame, smaller_frame
from fieldapp.reports.spares import Spares, spares
from fieldapp.reports.strength import Strength, part_strengths
from fieldapp.reports.usable import Stock, Unsound, stock_of, unsound_parts

Why = Literal["parts", "inspection", "arm", "tube", "falls"]


@dataclass(frozen=True, slots=True)
class ClassCount:
    """One class of parts."""

    key: ClassKey
    handed: str | None
    needed: int
    """Places of the plan."""
    stock: Mapping[Stock, int]
    """How many parts are sound, watched, quarantined, drying, missing, scrapped."""
    inspected: int
    """Of the usable ones, how many were checked in the latest round."""

    @property
    def usable(self) -> int:
        """Sound and watched."""
        return self.stock["sound"] + self.stock["watch"]

    @property
    def short(self) -> int:
        """How many are lacking."""
        return max(0, self.needed - self.usable)


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


@dataclass(frozen=True, slots=True, eq=False)
class Readiness:
    """The kit for one frame and way of raising."""

    frame: str
    way: str
    asked_at: datetime
    round: Round | None
    """The latest inspection round."""
    classes: tuple[ClassCount, ...]
    reasons: tuple[Reason, ...]
    """Empty if it is fit; the gravest first."""
    outfit: Outfit
    making: MakingList
    """What fills the empty places; spares are in `spares`."""
    spares: Spares
    emergency: tuple[EmergencyFit, ...]
    smaller: SmallerFrame | None
    """Only looked for if parts are lacking."""
    mend: tuple[Unsound, ...]
    """Parts to mend, to look at again, or to find; they need not all be mended for the kit to be fit."""
    labels_gone: tuple[str, ...]
    """Parts whose labels must be printed again."""

    @property
    def fit(self) -> bool:
        """True if nothing speaks against raising it."""
        return not self.reasons

    @property
    def verdict(self) -> str:
        """One sentence."""
        if self.fit:
            return "fit"
        parts = [f"not fit: {'; '.join(reason.words for reason in self.reasons)}"]
        if self.making.rows:
            parts.append(f"make {self.making.words}")
        if self.smaller is not None:
            parts.append(f"or raise {smaller_words(self.smaller)} with what is there")
        return "; ".join(parts)


def readiness(plan: Plan, state: State, checklist: Checklist, *, now: datetime, case: Case | None = None,
              asked: Demand | None = None) -> Readiness:
    """Judge the kit of `state` for a plan.

    Parameters
    ----------
    plan : Plan
        With holds.
    state : State
    checklist : Checklist
        Says which measured numbers are lengths and moistures.
    now : datetime
        Parts whose glue is not dry by then do not count.
    case, asked
        `case_of(kit)` and `demand(case, plan)`, if they are kept from before: they change with the design only.

    Returns
    -------
    Readiness
        Never raises for a bad kit; what is wrong are its reasons.

    Notes
    -----
    Fit means: every place has a part; each of these parts was checked in the latest round; no stage asks
    more than 1.0 of an arm or a tube under 1.35 × weight with the real parts, or falls.
    """
    kit = state.kit
    case = case_of(kit) if case is None else case
    strengths = part_strengths(state, checklist)
    parts = tuple(part for part in state.all_parts() if stock_of(state, part.id, now) in ("sound", "watch"))
    found = outfit(case, plan, state, parts, strengths, asked=asked)
    lacking = found.allocation.empty
    left_over = [part for part in parts if part.id not in set(found.allocation.part_at.values())]
    return Readiness(
        frame=kit.design.frame.name, way=plan.way, asked_at=now, round=latest_round(state),
        classes=tuple(_count(state, plan, key, now) for key in class_keys(kit)),
        reasons=_reasons(state, found, strengths),
        outfit=found,
        making=making_list(kit, lacking),
        spares=spares(kit, plan, state, now=now),
        emergency=emergency_fits(case, plan, lacking, left_over),
        smaller=smaller_frame(case, state, parts, strengths) if lacking else None,
        mend=unsound_parts(state),
        labels_gone=tuple(part.id for part in parts if state.parts[part.id].label_gone))


def _count(state: State, plan: Plan, key: ClassKey, now: datetime) -> ClassCount:
    needed = sum(class_at(state.kit, place) == key for place in plan.step_of)
    parts = [part for part in state.all_parts() if (part.kind, part.part_class) == key]
    counted = Counter(stock_of(state, part.id, now) for part in parts)
    seen = inspected_parts(state)
    usable = [part for part in parts if stock_of(state, part.id, now) in ("sound", "watch")]
    stock: dict[Stock, int] = {"sound": counted["sound"], "watch": counted["watch"],
                               "quarantined": counted["quarantined"], "drying": counted["drying"],
                               "missing": counted["missing"], "scrapped": counted["scrapped"]}
    return ClassCount(key, handed_of(state.kit, key), needed, stock, sum(part.id in seen for part in usable))


def _reasons(state: State, found: Outfit, strengths: Mapping[str, Strength]) -> tuple[Reason, ...]:
    """All that speaks against it, the gravest first."""
    reasons = (_parts_lacking(state, found, strengths), _falls(found), _arm_over(found), _tube_over(found),
               _not_inspected(state, found))
    return tuple(reason for reason in reasons if reason is not None)


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


def _arm_over(found: Outfit) -> Reason | None:
    worst = found.demand.worst_arm
    if worst.arm.use <= 1.0 or not worst.stands:
        return None
    part = found.allocation.part_at.get(worst.arm.hub, "a new hub")
    locked = f", {worst.locked_use:.2f} of it locked in by lengths" if worst.locked_use > 0.01 else ""
    return Reason("arm", f"the arm of {worst.arm.hub} on {worst.arm.strut} is asked {worst.arm.use:.2f} times what "
                  f"it can take at step {worst.step}{locked}",
                  f"Replace {part}, dry it, or choose another way of raising.", (part,),
                  (worst.arm.hub, worst.arm.strut))


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
    words = (f"{len(waiting)} of {len(placed)} parts not yet inspected" if chosen is not None and seen
             else "nobody has inspected the kit since it was last used" if state.raises else "nobody has inspected it")
    next_words = f"Scan them in round \"{chosen.name}\"." if chosen is not None and chosen.closed is None else \
        "Open an inspection round and scan every part."
    return Reason("inspection", words, next_words, waiting)


def smaller_words(smaller: SmallerFrame) -> str:
    """"the 4/9 frame (46 hubs, 120 struts)"."""
    name = f"the {smaller.name} frame" if smaller.name[0].isdigit() else smaller.name
    return f"{name} ({smaller.hubs} hubs, {smaller.struts} struts)"
