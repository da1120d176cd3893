"""Fit or not: whether the kit, as logged and inspected, can be raised; else why not, and what to make or mend."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from fieldapp.base.said import Row, Said, Value, say, say_n
from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.checklist_file import CHECKS_FILE, read_checks
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.opening import followed_plan, logged_state, plan_for
from fieldapp.log.state import Round, State
from fieldapp.plan.case import case_of
from fieldapp.plan.plan import Plan
from fieldapp.reports.inspection import latest_round
from fieldapp.reports.inspection.again import inspected_parts, old_checks
from fieldapp.reports.parts import STOCK, Stock, Unsound, stock_of, unsound_parts, usable_parts
from fieldapp.reports.parts.own_numbers import part_strengths
from fieldapp.reports.readiness.emergency import EmergencyFit, emergency_fits
from fieldapp.reports.readiness.making import ClassKey, MakingList, class_at, class_keys, handed_of, making_list
from fieldapp.reports.readiness.outfit import Outfit, outfit
from fieldapp.reports.readiness.reasons import Reason, reasons_against
from fieldapp.reports.readiness.smaller import SmallerFrame, smaller_frame, smaller_said
from fieldapp.reports.readiness.spares import Spares, spares
from fieldapp.reports.standing.demand import sound_demand


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
    """Of the usable ones, how many were checked in the latest round, and not too long ago."""

    @property
    def usable(self) -> int:
        """Sound and watched."""
        return self.stock["sound"] + self.stock["watch"]

    @property
    def short(self) -> int:
        """How many are lacking."""
        return max(0, self.needed - self.usable)


@dataclass(frozen=True, slots=True, eq=False)
class Readiness:
    """The kit for one frame and way of raising, judged with every part at the place that it is given here."""

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
    def verdict(self) -> Said:
        """One sentence."""
        if self.fit:
            moves = len(self.outfit.stickers)
            return say_n("fit, once {n} part has its new place", "fit, once {n} parts have their new places",
                         moves) if moves else say("fit")
        return say("not fit: {reasons}", reasons=Row(tuple(map(self._with_remedy, self.reasons)), "; "))

    def _with_remedy(self, reason: Reason) -> Value:
        """A reason; where parts are lacking, with what to do about it."""
        if reason.why != "parts":
            return reason.words
        one = sum(row.count for row in self.making.rows) == 1
        make = say("{reason}: make it", reason=reason.words) if one else \
            say("{reason}: make these", reason=reason.words)
        return make if self.smaller is None else say("{said}, or raise {what} with what is there", said=make,
                                                     what=smaller_said(self.smaller))


def readiness(plan: Plan, state: State, checklist: Checklist, *, now: datetime) -> Readiness:
    """Judge the kit of `state` for a plan.

    Parameters
    ----------
    plan : Plan
        With holds.
    state : State
    checklist : Checklist
        Says which measured numbers are lengths and moistures, and after what an inspection is old.
    now : datetime
        Parts whose glue is not dry by then do not count, nor inspections that are old by then.

    Returns
    -------
    Readiness
        Never raises for a bad kit; what is wrong are its reasons.

    Notes
    -----
    Fit means: every place has a part; each of these parts was checked in the latest round, not too long ago
    (`inspection.again`); no stage falls, or bears less than 1.35 × weight with the real parts, whatever gives way.
    """
    kit, case = state.kit, case_of(state.kit)
    strengths = part_strengths(state, checklist)
    parts = usable_parts(state, now)
    found = outfit(case, plan, state, parts=parts, strengths=strengths, asked=sound_demand(kit, plan))
    lacking, seen = found.allocation.empty, inspected_parts(state, checklist.seen_again, now=now)
    placed = set(found.allocation.part_at.values())
    left_over = sorted((part for part in parts if part.id not in placed), key=lambda part: -strengths[part.id].weakest)
    return Readiness(
        frame=kit.design.frame.name, way=plan.way, asked_at=now, round=latest_round(state),
        classes=tuple(_count(state, plan, key, now=now, seen=seen) for key in class_keys(kit)),
        reasons=reasons_against(state, found, strengths, old=old_checks(state, checklist.seen_again, now=now)),
        outfit=found,
        making=making_list(kit, lacking),
        spares=spares(kit, plan, state, now=now),
        emergency=emergency_fits(case, plan, lacking, parts=left_over),
        smaller=smaller_frame(case, state, parts, strengths=strengths) if lacking else None,
        mend=unsound_parts(state),
        labels_gone=tuple(part.id for part in parts if state.parts[part.id].label_gone))


def _count(state: State, plan: Plan, key: ClassKey, *, now: datetime, seen: frozenset[str]) -> ClassCount:
    needed = sum(class_at(state.kit, place) == key for place in plan.step_of)
    parts = [part for part in state.all_parts() if (part.kind, part.part_class) == key]
    counted = Counter(stock_of(state, part.id, now) for part in parts)
    usable = [part for part in parts if stock_of(state, part.id, now) in ("sound", "watch")]
    return ClassCount(key, handed_of(state.kit, key), needed, {stock: counted[stock] for stock in STOCK},
                      sum(part.id in seen for part in usable))


def folder_readiness(folder: Path, way: str | None = None, *, now: datetime) -> Readiness:
    """Readiness of the kit in a folder, for a way of raising; None: the one chosen on site, else the design's.

    Raises
    ------
    KitError
        If the folder holds no kit, or its checklist breaks a rule.
    PlanError
        If there is no such way, or its order cannot be followed or breaks arms.
    StoreError
        If the log cannot be read.
    """
    kit = read_kit(folder)
    checklist = folder_checklist(folder, kit)
    state = logged_state(folder, kit)
    plan = plan_for(kit, way) if way else followed_plan(kit, state.way)[0]
    return readiness(plan, state, checklist, now=now)


def folder_checklist(folder: Path, kit: Kit) -> Checklist:
    """The checklist of a folder; one made before there were any gets the default of its design."""
    return read_checks(folder) if (folder / CHECKS_FILE).exists() else default_checks(kit.design)
