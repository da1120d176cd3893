"""Random raises and strikes of small frames, by the log's own rules: skipped, out of order, damaged, unpegged."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, fold
from fieldapp.log.rules import Setting, decide
from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.planner import way_plans
from fieldapp.reports.exchange import exchange_now, next_tick

MORNING = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
BEGINS, MOST_EXCHANGES = 0.1, 2
"""Share of entries going up with which an exchange is asked for, and how often in one walk: each costs many stages."""


PEGGED = {"stands_on": "gravel", "held_by": "pegs", "holds_up_n": 400.0, "holds_sideways_n": 800.0,
          "holds_source": "invented"}


def design(frequency, cut="1/2", *, outer_mm=28.0, hub_kg=0.42, ground=None):
    """A frame of timber rods, invented for this."""
    return Design.model_validate({
        "ground": ground or {},
        "frame": {"prefix": "VT", "frequency": frequency, "cut": cut, "diameter_m": 3.6, "level_base": False},
        "strut": {"section": "rod", "material": "C24", "outer_mm": outer_mm}, "hub": {"mass_kg": hub_kg},
        "spares": {"hubs_most_common": 1, "hubs_each_other": 1, "struts_each": 1}})


def sites():
    """By name: one from the ground up, one with pegs, one whose crown is lifted, one too heavy to go on with."""
    plain, domed, firm = build_kit(design(1, "2/3")), build_kit(design(2)), build_kit(design(1, "2/3", ground=PEGGED))
    ground, pegged = (Setting(kit, way_plans(kit, "ring by ring")[0]) for kit in (plain, firm))
    feet = [hub.name for hub in plain.frame.hubs if hub.on_ground]
    first = next(step.number for step in ground.plan.steps if step.hub not in feet)
    pegs = Pegging(first, tuple(HeldFoot(hub, 60.0, 20.0, first) for hub in feet))
    heavy = build_kit(design(1, "2/3", outer_mm=16.0, hub_kg=5.0))
    return {"heavy": Setting(heavy, way_plans(heavy, "ring by ring")[0]), "ground": ground,
            "pegs": replace(pegged, plan=replace(pegged.plan, peggings=(pegs,))),
            "lift": Setting(domed, way_plans(domed, "crown first")[0])}


class Walk:
    """One log that grows by mostly sensible, sometimes careless entries."""

    def __init__(self, site, seed, *, damages):
        self.site, self.dice, self.damages = site, Random(seed), damages
        self.state, self.now, self.sent, self.asked = fold(site.kit, ()), MORNING, 0, 0

    def log(self, kind, part=None, place=None, **data):
        """True if the log took it."""
        self.sent, self.now = self.sent + 1, self.now + timedelta(seconds=20)
        outcome = decide(self.site, self.state, Request(f"key {self.sent}", kind, part, place, data=data, chief=True),
                         self.now)
        if isinstance(outcome, Entry):
            self.state = replace(apply(self.state, outcome), last_number=self.sent)
        return isinstance(outcome, Entry)

    def states(self, count):
        """`count` states on the way up and down, each after a few entries; some walks are careful, some careless."""
        total = len(self.site.plan.step_of)
        turn, care = self.dice.randint(total // 2, total), self.dice.choice([0.1, 0.3, 1.0])
        for _ in range(count):
            for _entry in range(self.dice.randint(1, 1 + 4 * turn // count)):
                if self.state.phase != "striking" and len(self.state.fitted) >= turn:
                    self.log("strike_started")
                running = self.state.exchanging
                self.go_on(self.dice.random() / care)
                if running is None and self.state.exchanging is not None:
                    break       # looked at somewhere on its way
            yield self.part_way(care) if running is None and self.state.exchanging is not None else self.state

    def part_way(self, care):
        """Some acts into the exchange that has just begun."""
        for _act in range(self.dice.randint(1, 2 * len(self.state.exchanging.takes) - 1)):
            if self.state.exchanging is not None:
                self.go_on_exchanging(self.dice.random() / care)
        return self.state

    def go_on(self, chance):
        """One entry: as planned for most of the chances from 0 on."""
        going_down = self.state.phase == "striking"
        if self.state.exchanging is not None:
            self.go_on_exchanging(chance)
        elif self.asked < MOST_EXCHANGES and len(self.state.fitted) > 3 and not going_down \
                and self.dice.random() < BEGINS:
            self.begin_exchange(self.dice.choice(sorted(self.state.fitted)))
        elif chance < 0.04 and self.damages and self.state.fitted:
            self.damage(self.dice.choice(sorted(self.state.fitted)))
        elif chance < 0.08 and not going_down:
            self.exchange()
        elif chance < 0.14:
            self.any_one(going_down)
        elif chance < 0.24:
            self.release()
        else:
            self.as_planned(going_down, skip=chance < 0.28)

    def as_planned(self, going_down, skip):
        order = [place for step in self.site.plan.steps for place in step.sequence]
        if going_down:
            left = [place for place in reversed(order) if place in self.state.fitted]
            return self.log("taken_down", self.state.fitted[left[0]]) if left else False
        feet = [foot.hub for pegging in self.site.plan.peggings for foot in pegging.feet
                if foot.hub in self.state.fitted and foot.hub not in self.state.held_feet]
        if feet and self.dice.random() < 0.4:
            return self.log("feet_held", feet=(self.dice.choice(feet),), how="pegs")
        left = [place for place in order if place not in self.state.fitted]
        return self.log("fitted", self.state.allocation[left[1 if skip and len(left) > 1 else 0]]) if left else False

    def any_one(self, going_down):
        """Anything at all, as careless hands do."""
        if going_down or (self.state.fitted and self.dice.random() < 0.3):
            if self.state.fitted:
                self.log("taken_down", self.state.fitted[self.dice.choice(sorted(self.state.fitted))])
        else:
            left = [place for place in self.site.plan.step_of if place not in self.state.fitted]
            if left:
                self.log("fitted", self.state.allocation[self.dice.choice(left)])

    def begin_exchange(self, place):
        """As its page begins one: only where it was worked out as safe, all that it names held."""
        self.asked += 1
        order = exchange_now(self.site, self.state, place).order
        if order.safe:
            self.log("exchange_begun", place=place, takes=list(order.touches),
                     holds=[hold.hub for hold in order.holds], loosened=order.loosened)

    def go_on_exchanging(self, chance):
        """Its next act; sometimes something breaks or comes out meanwhile, or the chief gives it up."""
        tick = next_tick(self.state, self.state.exchanging)
        if tick is None or chance < 0.02:
            self.log("exchange_ended", reason="" if tick is None else "it goes dark")
        elif chance < 0.05 and self.damages and self.state.fitted:
            self.damage(self.dice.choice(sorted(self.state.fitted)))
        elif chance < 0.08:
            self.any_one(going_down=False)
        elif tick.part is not None:
            self.log("taken_down" if tick.goes == "out" else "fitted", tick.part, tick.place)

    def exchange(self):
        """A part goes to a place of its class that is not its own."""
        left = [place for place in self.site.plan.step_of if place not in self.state.fitted and place[0] == "S"]
        if len(left) > 1:
            part, place = self.state.allocation[left[0]], self.dice.choice(left)
            self.log("fitted", part, place, exchange=True)

    def release(self):
        """Somebody answers for what is damaged: it is relied on again, by what is left of it."""
        hurt = [part for part, past in self.state.parts.items() if past.condition == "quarantined"]
        if hurt:
            self.log("released", self.dice.choice(sorted(hurt)), name="chief", words="it bears")

    def damage(self, place):
        part, what = self.state.fitted[place], self.dice.choice(["gone", "gone", "slight"])
        if place[0] == "S":
            self.log("damaged", part, what="buckled" if what == "gone" else "dented",
                     severity="bad" if what == "gone" else "slight")
        else:
            self.log("damaged", part, what="arm_snapped", severity="bad", arm=1)
