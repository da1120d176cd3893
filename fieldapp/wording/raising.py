"""What a step says in words: its first line, its parts in order, who holds what, where to stand, how hard to push."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.base.words import _, ngettext
from fieldapp.frame.frame import Frame
from fieldapp.kit.kit import Kit
from fieldapp.plan.bays import bays
from fieldapp.plan.closing import closing_words
from fieldapp.plan.limits import limit_notes
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.plan.ways import BAY_BY_BAY, named
from fieldapp.wording.counted import hubs_words, struts_words
from fieldapp.wording.facing import facing
from fieldapp.wording.place import level_words

DOZEN = 12
"""Steps between two checks if the order follows no rings (in no formula)."""

ON_GROUND_MM = 300.0
"""Below this nothing is needed to stand on and nothing need be said of height [mm].
Source: our choice. Test: tests/wording/test_step.py"""


@dataclass(frozen=True, slots=True)
class StepRow:
    """One part of a step: what it is, onto what it is pushed first, and what then."""

    place: str
    part_id: str
    """Empty if it is in already."""
    part_class: str
    bands: int
    first: str
    then: str
    carries: str = ""
    """What the part carried before it came into the kit."""


@dataclass(frozen=True, slots=True)
class Run:
    """Steps one after the other that are worked, checked and struck together: a ring of the frame or of a piece."""

    name: str
    steps: tuple[Step, ...]

    @property
    def struts(self) -> int:
        """Struts of all its steps."""
        return sum(len(step.struts) for step in self.steps)

    @property
    def size_words(self) -> str:
        """How many parts it has; a hub that is only tied on came with its piece."""
        hubs = sum(not step.joins for step in self.steps)
        return ", ".join(filter(None, (hubs_words(hubs) if hubs else "", struts_words(self.struts))))


def step_runs(frame: Frame, plan: Plan) -> tuple[Run, ...]:
    """The steps ring by ring; in an order that goes up and down between rings, by the dozen; or bay by bay."""
    if plan.way == BAY_BY_BAY:
        return _bay_runs(frame, plan)
    runs = [tuple(run) for _, run in groupby(plan.steps, key=_run_key)]
    if len(runs) == len({_run_key(run[0]) for run in runs}):
        return tuple(Run(_run_name(frame, run[0]), run) for run in runs)
    dozens = [plan.steps[start:start + DOZEN] for start in range(0, len(plan.steps), DOZEN)]
    return tuple(Run(_("steps {first} to {last}").format(first=steps[0].number, last=steps[-1].number), steps)
                 for steps in dozens)


def _bay_runs(frame: Frame, plan: Plan) -> tuple[Run, ...]:
    """From one end to the other: a hub that had to wait counts with the bay in which it goes in."""
    number = {hub: n for n, bay in enumerate(bays(frame), start=1) for hub in bay}
    at = [number[step.hub] for step in plan.steps]
    if at[0] > at[-1]:                                             # from the far end: counted from there
        at = [max(at) + 1 - n for n in at]
    reached = accumulate(at, max)
    return tuple(Run(_("bay {n}").format(n=n), tuple(step for _, step in run))
                 for n, run in groupby(zip(reached, plan.steps, strict=True), key=lambda pair: pair[0]))


def _run_key(step: Step) -> tuple[int, str, bool]:
    """What steps of one run share."""
    return step.level, step.piece, step.joins


def _run_name(frame: Frame, step: Step) -> str:
    """The level, and the piece it belongs to."""
    piece, at_top = in_words(named(step.piece)), frame.hub(step.hub) == frame.top
    level = level_words(frame, step.level, numbered=True)
    if step.joins:
        return _("{piece} tied on").format(piece=piece)
    if step.piece:
        return _("{piece} piece, {ring}").format(
            piece=piece, ring=_("top") if at_top else level)
    return level


def headline(step: Step) -> str:
    """What to do, in one line."""
    n = len(step.struts)
    if step.joins:
        words = ngettext("Tie hub {hub} to the frame: {n} strut", "Tie hub {hub} to the frame: {n} struts", n)
    elif not step.struts:
        words = _("Set hub {hub}")
    elif step.piece:
        words = ngettext("Add hub {hub} to the {piece} with {n} strut",
                         "Add hub {hub} to the {piece} with {n} struts", n)
    else:
        words = ngettext("Add hub {hub} with {n} strut", "Add hub {hub} with {n} struts", n)
    return words.format(hub=step.hub, piece=in_words(named(step.piece)), n=n)


def step_rows(kit: Kit, step: Step) -> tuple[StepRow, ...]:
    """The parts of a step in the order in which they go in.

    Struts that hang free come first, then the hub onto their free ends, then the struts that close.
    """
    free = [item for item in step.struts if not item.closes and item.hub != step.hub]
    after = [item for item in step.struts if item not in free]
    return (*(strut_row(kit, item) for item in free), hub_row(kit, step, free),
            *(strut_row(kit, item) for item in after))


def strut_row(kit: Kit, item: Insertion) -> StepRow:
    """One strut: the end that goes first, and the other one."""
    place = kit.frame.strut(item.strut)
    bands = next(each.bands for each in kit.frame.strut_classes if each.letter == place.strut_class)
    other = 3 - item.end
    there, part = place.end(other), kit.by_place[item.strut]
    return StepRow(item.strut, part.id, place.strut_class, bands, _end_words(item.end, item.hub, item.arm),
                   _end_words(other, there.hub, there.arm), part.alias)


def _end_words(end: int, hub: str, arm: int) -> str:
    """Which end goes onto which arm."""
    return _("end {end}: {hub} arm {arm}").format(end=end, hub=hub, arm=arm)


def hub_row(kit: Kit, step: Step, free: Sequence[Insertion]) -> StepRow:
    """The hub: onto the free ends, or on its place on the ground."""
    hub = kit.frame.hub(step.hub)
    arms = sorted(hub.arm_at(item.strut).number for item in free)
    if arms:
        arms_said = listed([str(arm) for arm in arms])
        onto = ngettext("with arm {arms}", "with arms {arms}", len(arms)).format(arms=arms_said)
    elif hub.on_ground:
        onto = _("on the ground")
    else:
        onto = _("in the piece already") if step.joins else _("on its prop")
    onto = f"{onto}, {_(facing(kit.frame).out)}"
    part = None if step.joins else kit.by_place[step.hub]
    return StepRow(step.hub, part.id if part else "", "", 0, onto, "", part.alias if part else "")


def lead_lines(step: Step, before: Step | None, frame: Frame) -> tuple[str, str]:
    """What everybody must know first: who holds what; where it is and what to stand on."""
    return " ".join((*_carry_notes(step, before), *_hold_notes(step, before, frame))), _stand_note(step, frame)


def notes(step: Step) -> tuple[str, ...]:
    """Limits and cautions, most urgent first."""
    closing = () if step.cautions else closing_words(step)
    return tuple(map(in_words, (*step.cautions, *limit_notes(step), *closing)))


def waits_note(step: Step) -> str:
    """What must be in before the step is begun; empty where nothing must."""
    if not step.waits_for:
        return ""
    return ngettext("Waits for {hubs} and what ties it.", "Waits for {hubs} and what ties them.",
                    len(step.waits_for)).format(hubs=listed(sorted(step.waits_for)))


def glued(text: str) -> str:
    """The text with figures kept beside their units when lines are broken."""
    return re.sub(r"(?<=\d) (?=(?:N|mm|m|kg)\b)", "\u00a0", text)


def _carry_notes(step: Step, before: Step | None) -> Iterator[str]:
    """How a piece is lifted and carried; in the step after which it stands, how long."""
    if step.lift_mm:
        yield _("First lift the {piece} by {height} m, all hubs together.").format(
            piece=in_words(named(step.piece)), height=decimal(m_from_mm(step.lift_mm), 2))
    if step.carried_at:
        words = _("Carry the {piece} at {hubs}.") if step.piece else _("Carry the frame at {hubs}.")
        yield words.format(piece=in_words(named(step.piece)), hubs=listed(step.carried_at))
    elif before is not None and before.carried_at:
        words = _("Carry the {piece} at {hubs} until this step is in: then it stands, and they let go.")
        yield words.format(piece=in_words(named(before.piece)), hubs=listed(before.carried_at))


def _hold_notes(step: Step, before: Step | None, frame: Frame) -> Iterator[str]:
    """Who holds which hub from now on, and who may let go."""
    held = before.holds if before else ()
    keep = [hub for hub in step.holds if hub in held]
    start = [hub for hub in step.holds if hub not in held]
    free = [hub for hub in held if hub not in step.holds]
    if start:
        yield ngettext("Hold {hubs} from now on: one person or one prop.",
                       "Hold {hubs} from now on: one person or one prop for each hub.", len(start)).format(
            hubs=listed(start))
    if keep:
        yield _("Keep holding {hubs}.").format(hubs=listed(keep))
    if free:
        yield _("When this step is in, let go of {hubs}.").format(hubs=listed(free))
    if not (keep or start or free or frame.hub(step.hub).on_ground):
        yield _("Nothing to hold: what stands holds itself.")


def _stand_note(step: Step, frame: Frame) -> str:
    """Where the hub is, how high, and what to stand on."""
    hub = frame.hub(step.hub)
    if hub.on_ground and step.height_mm < ON_GROUND_MM:
        return _("On the ground, number {n} clockwise from the front mark.").format(n=hub.number_in_level)
    where = _(frame.words.number).format(n=hub.number_in_level) if len(frame.level(hub.level)) > 1 else \
        _("At the top")
    if step.height_mm < ON_GROUND_MM:
        return _("{where}, put together on the ground.").format(where=where)
    words = _("{where}, {height} m up.")
    if step.stand_on:
        words = _("{where}, {height} m up: stand on {aid}.") if step.reachable else _("{where}, {height} m up, {aid}.")
    return words.format(where=where, height=decimal(m_from_mm(step.height_mm), 2), aid=in_words(step.stand_on))
