"""The first raise of Orchard Hall, its strike, and the inspection round that has just begun. All invented.

What happened: two hub arms broke (third ring, while lifting; ground ring, stepped on), one pole split, one
hub lay in wet grass and swelled, one strut was missing at the strike, two labels became unreadable.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import cycle

from fieldapp.base.errors import StoreError
from fieldapp.kit.checklist import Check
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Refusal, Request
from fieldapp.plan.plan import Step
from fieldapp.reports.parts.replacements import substitutes
from fieldapp.reports.raising.pegs import may_be_let_go

CHIEF = "chief"

CREW = ("crew 1", "crew 2", "crew 3")
STEP_S = 135
"""A step and the walk to the next one [s]."""
PART_S = 20
PEG_S = 60
CHECK_S = 40
CHECKED = 120
"""How many parts the inspector has seen so far."""


class Teller:
    """A clock and a voice: every entry goes through the book's rules at the time told."""

    def __init__(self, book: SiteBook) -> None:
        self.book = book
        self.now = datetime(2026, 1, 1, tzinfo=UTC)
        self._count = 0

    def at(self, text: str) -> None:
        """Set the clock, e.g. `2026-09-12 08:30`, UTC."""
        self.now = datetime.fromisoformat(text).replace(tzinfo=UTC)

    def wait(self, seconds: float) -> None:
        """Let time pass [s]."""
        self.now += timedelta(seconds=seconds)

    def tell(self, kind: str, part: str | None = None, who: str = CHIEF, *, place: str | None = None,
             data: Mapping[str, object] | None = None) -> str:
        """Write one entry; its key. A story that the rules refuse is a fault of the program."""
        self._count += 1
        key = f"demo-{self._count:04d}"
        outcome = self.book.submit(Request(key, kind, part, place, who, data=data or {}, chief=True), self.now)
        if isinstance(outcome, Refusal):
            raise StoreError(f"the demo's story was refused at {kind} {part or ''}: {outcome.message}")
        return key

    def passed(self, part: str, who: str, *, values: Mapping[str, float], failed: Mapping[str, int] | None = None,
               words: str = "") -> None:
        """One check with the kit's list: `values` of measured lines, `failed` line → arm or end number."""
        checklist = self.book.site.checklist
        kind = self.book.site.kit.part(part).kind
        items = [_item(line, values, failed or {}, words) for line in (checklist.lines(kind) if checklist else ())
                 if line.when == "always" or line.item in values]
        self.tell("checked", part, who, data={"items": items, "seen": "scanned"})


def _item(line: Check, values: Mapping[str, float], failed: Mapping[str, int], words: str) -> dict[str, object]:
    item: dict[str, object] = {"item": line.item, "result": "fail" if line.item in failed else "pass"}
    if line.is_measured:
        item["value"] = values[line.item]
    if line.item in failed:
        item["words"] = words
        if line.each:
            item[line.each] = failed[line.item]
    return item


@dataclass(frozen=True, slots=True)
class Mishap:
    """What breaks when its place is reached."""

    place: str
    what: str
    severity: str
    words: str
    arm: int | None = None
    end: int | None = None
    replaced: bool = True


def mishaps(book: SiteBook) -> tuple[Mishap, ...]:
    """The five that happened while raising, each at a place of this frame."""
    plan = book.site.plan
    ground = next(step.hub for step in plan.steps if step.level == 1 and step.number > 5)
    third = [step.hub for step in plan.steps if step.level == 3]
    second = [step for step in plan.steps if step.level == 2]
    return (
        Mishap(ground, "arm_cracked", "bad", "stepped on while it lay in the grass", arm=2),
        Mishap(second[2].struts[0].strut, "split", "bad", "split from the end when it was pushed on"),
        Mishap(second[5].hub, "soaked", "bad", "lay in wet grass, swollen, arms too thick for the poles"),
        Mishap(third[4], "arm_snapped", "bad", "while lifting a pole held at one end", arm=1),
        Mishap(third[8], "label_gone", "slight", "rubbed off", replaced=False),
        Mishap(second[7].struts[1].strut, "label_gone", "slight", "washed off", end=1, replaced=False),
    )


def tell_first_raise(book: SiteBook) -> None:
    """Write the whole past into an empty log, through the rules."""
    teller = Teller(book)
    teller.at("2026-09-12 07:40")
    teller.tell("raise_started", data={"name": "Harvest week"})
    broken = _raise(teller)
    _strike(teller)
    _mend(teller, broken)
    _begin_round(teller, broken)


def _raise(teller: Teller) -> dict[str, str]:
    """Every step with its mishaps; the parts that came to harm, by place."""
    happening = {mishap.place: mishap for mishap in mishaps(teller.book)}
    broken: dict[str, str] = {}
    for step, who in zip(teller.book.site.plan.steps, cycle(CREW)):
        _peg(teller, step.number, who)
        for place in _places(step):
            if place in happening:
                broken[place] = _mishap(teller, happening[place], who)
            _fit(teller, place, who)
        teller.wait(STEP_S)
    _peg(teller, len(teller.book.site.plan.steps) + 1, CREW[0])
    return broken


def _peg(teller: Teller, number: int, who: str) -> None:
    """The pegs that a step waits for."""
    for pegging in teller.book.site.plan.peggings:
        if pegging.before == number:
            teller.wait(PEG_S * len(pegging.feet))
            teller.tell("feet_held", None, who, data={"feet": list(pegging.hubs)})


def _places(step: Step) -> tuple[str, ...]:
    return (*(insertion.strut for insertion in step.struts), step.hub)


def _fit(teller: Teller, place: str, who: str) -> None:
    teller.wait(PART_S)
    teller.tell("fitted", teller.book.state.allocation[place], who, place=place)


def _mishap(teller: Teller, mishap: Mishap, who: str) -> str:
    """Log the damage, and give the place to the best substitute if the part cannot stay; the part harmed."""
    book = teller.book
    part = book.state.allocation[mishap.place]
    told = {"what": mishap.what, "severity": mishap.severity, "words": mishap.words, "arm": mishap.arm,
            "end": mishap.end}
    teller.wait(60)
    teller.tell("damaged", part, who, place=mishap.place,
                data={key: value for key, value in told.items() if value is not None})
    if mishap.replaced:
        best = substitutes(book.site.plan, book.state, mishap.place)[0]
        teller.wait(180)
        teller.tell("exchanged", best.part, who, place=mishap.place)
    return part


def _strike(teller: Teller) -> None:
    """Down again five days later, into bundles by class; one strut never came in."""
    book = teller.book
    teller.at("2026-09-17 14:00")
    teller.tell("strike_started")
    lost = book.state.allocation[next(s.struts[-1].strut for s in book.site.plan.steps if s.level == 4)]
    for step, who in zip(reversed(book.site.plan.steps), cycle(CREW)):
        for place in reversed(_places(step)):
            part = book.state.fitted[place]
            teller.wait(PART_S)
            teller.tell("taken_down", part, who)
            if part != lost:
                teller.tell("stored", part, who, data=_bundle(teller, part))
        free = may_be_let_go(book.site.plan, book.state)
        if free:
            teller.tell("feet_freed", None, who, data={"feet": list(free)})
        teller.wait(40)
    teller.tell("missing", lost, CHIEF, data={"words": "last seen leaning on the trailer"})
    teller.tell("raise_ended")


def _bundle(teller: Teller, part_id: str) -> dict[str, object]:
    part = teller.book.site.kit.part(part_id)
    wet = part.kind == "hub" and part.number % 7 == 0
    return {"bundle": f"{part.kind}s {part.part_class}", "came_in": ["wet"] if wet else ["dry"]}


def _mend(teller: Teller, broken: dict[str, str]) -> None:
    """One cracked arm mended and released, one snapped arm mended but not released, one hub drying."""
    cracked, split, soaked, snapped = (broken[mishap.place] for mishap in mishaps(teller.book) if mishap.replaced)
    carpenter = "carpenter 1"
    teller.at("2026-10-10 10:00")
    teller.tell("repaired", cracked, carpenter, data={
        "how": "cleat_and_glue", "by": carpenter, "arm": 2, "capacity": 0.8, "usable_from": "2026-10-12T10:00:00Z"})
    teller.tell("repaired", soaked, carpenter, data={
        "how": "dried", "by": carpenter, "usable_from": "2026-11-01T10:00:00Z",
        "words": "three weeks over the workshop stove, arms still 0.4 mm thick"})
    teller.at("2026-10-17 10:30")
    teller.tell("released", cracked, data={"name": "carpenter 1", "words": "cleat on both faces"})
    teller.tell("scrapped", split, data={"reason": "split along half its length"})
    teller.wait(600)
    teller.tell("repaired", snapped, "carpenter 2", data={
        "how": "replaced_arm", "by": "carpenter 2", "arm": _arm_of(teller, snapped), "capacity": 0.7})


def _arm_of(teller: Teller, part: str) -> int | None:
    return next(defect.arm for defect in teller.book.state.parts[part].defects if defect.arm)


def _begin_round(teller: Teller, broken: dict[str, str]) -> None:
    """Half the kit seen: most sound, an arm cracked that nobody had told of, one pole too damp."""
    teller.at("2026-11-21 17:00")
    teller.tell("round_opened", data={"name": "Before the next harvest"})
    state, kit = teller.book.state, teller.book.site.kit
    there = [part for part in kit.parts if not state.parts[part.id].missing
             and state.parts[part.id].condition in ("sound", "watch") and part.id not in broken.values()]
    chosen = [part for part in there if part.kind == "hub"][:45] + [part for part in there if part.kind == "strut"]
    for number, part in enumerate(chosen[:CHECKED]):
        who = f"inspector {1 + number % 2}"
        teller.wait(CHECK_S)
        cracked = part.kind == "hub" and number == 31
        damp = part.kind == "strut" and number == 70
        teller.passed(part.id, who, values={"moisture": 23.0} if damp else {},
                      failed={"cracks across the grain": 1} if cracked else {},
                      words="a line opens when it is bent" if cracked else "")
