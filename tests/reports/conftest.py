"""Kits and a log in memory for the reports on readiness."""

from datetime import UTC, datetime, timedelta
from functools import cached_property

import pytest
from small_frame import SPARES, small_design, tiny_design

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import SparesSection
from fieldapp.kit import build_kit
from fieldapp.kit.checklist import needed_lines
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.rules import Setting, decide
from fieldapp.plan.case import case_of
from fieldapp.plan.planner import way_plans
from fieldapp.reports.readiness import readiness
from fieldapp.reports.standing.demand import sound_demand

SPRING = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)


class Hall:
    """A kit with its plan, checklist and statics, computed once."""

    def __init__(self, design):
        self.kit = build_kit(design)
        self.plan = way_plans(self.kit, "ring by ring")[0]
        self.checklist = default_checks(design)
        self.case = case_of(self.kit)

    @cached_property
    def asked(self):
        """Of sound parts: long to work out for the large ones."""
        return sound_demand(self.kit, self.plan)


class Shed:
    """A log of that kit; time goes on by five seconds an entry."""

    def __init__(self, hall):
        self.hall, self.now, self.sent = hall, SPRING, 0
        self.site = Setting(hall.kit, hall.plan, hall.checklist)
        self.state = fold(hall.kit, ())

    def log(self, kind, part=None, place=None, who="chief", **data):
        self.sent += 1
        request = Request(f"key {self.sent}", kind, part, place, who=who, data=data, chief=True)
        outcome = decide(self.site, self.state, request, self.now)
        assert isinstance(outcome, Entry), outcome
        self.state = apply(self.state, outcome)
        self.now += timedelta(seconds=5)
        return outcome

    def check(self, part, *special, who="inspector", box=""):
        """A whole check of a part; `special` items replace or follow those that pass."""
        named = {item["item"] for item in special}
        passed = [{"item": check.item, "result": "pass"} for check in needed_lines(self.lines(part))
                  if check.item not in named]
        return self.log("checked", part, who=who, items=[*passed, *special], box=box)

    def lines(self, part):
        return self.hall.checklist.lines(self.state.part(part).kind)

    def check_all(self, *special):
        self.log("round_opened", name="spring")
        for part in self.state.all_parts():
            self.check(part.id, *special)

    def part_for(self, place):
        return self.state.allocation[place]

    def readiness(self):
        return readiness(self.hall.plan, self.state, self.hall.checklist, now=self.now)


@pytest.fixture(scope="session")
def bare_hall():
    """Orchard Hall without spares and without a doorway."""
    design = orchard_hall()
    return Hall(design.model_copy(update={"spares": SparesSection(),
                                          "frame": design.frame.model_copy(update={"doorway": False})}))


@pytest.fixture(scope="session")
def full_hall():
    """Orchard Hall as designed."""
    return Hall(orchard_hall())


@pytest.fixture(scope="session")
def small_hall():
    """26 hubs, 65 struts."""
    return Hall(small_design(spares=SPARES))


@pytest.fixture
def small_shed(small_hall):
    return Shed(small_hall)


@pytest.fixture(scope="session")
def small_bare_hall():
    """The same without spares."""
    return Hall(small_design())


@pytest.fixture
def small_bare(small_bare_hall):
    return Shed(small_bare_hall)


@pytest.fixture(scope="session")
def tiny_bare_hall():
    """11 hubs, 25 struts, no spares."""
    return Hall(tiny_design())


@pytest.fixture
def tiny_bare(tiny_bare_hall):
    return Shed(tiny_bare_hall)


@pytest.fixture
def bare(bare_hall):
    return Shed(bare_hall)


@pytest.fixture
def shed(full_hall):
    return Shed(full_hall)
