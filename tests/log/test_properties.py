"""Whatever is asked, in whatever order, twice, on two laptops: the log makes sense and the laptops agree."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldapp.log.backup import export_lines, import_lines
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import apply, apply_all, fold, fold_from
from fieldapp.log.kinds import KINDS
from fieldapp.log.lines import from_line, to_line
from fieldapp.log.names import veiled_older
from fieldapp.log.rules import decide
from fieldapp.log.snapshot import effects_of, effects_text

MORNING = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)
STRUTS = ["OH-S001-7", "OH-S002-5", "OH-S003-3", "OH-S067-8"]
HUBS = ["OH-H01-6", "OH-H03-2", "OH-H27-J"]


@dataclass(frozen=True)
class Wish:
    """What somebody does next; part, place and entry are picked from what there is by then."""

    kind: str
    part: str | None
    place: str | None
    data: Mapping[str, object]
    minutes: int
    """How far the laptop's clock goes on, or back."""
    back: int
    """Withdraw the entry this many before the last."""
    repeats: bool
    """Sent under the key of the wish before."""
    both: bool
    """Its key is one that the other laptop may have seen too."""


CHECK = st.fixed_dictionaries({"items": st.lists(st.fixed_dictionaries(
    {"item": st.just("cracks"), "result": st.sampled_from(["pass", "fail"]), "critical": st.booleans()}),
    min_size=1, max_size=2)})
FEET = st.sampled_from([{"feet": ["H01"]}, {"feet": ["H03", "H01"]}])
DUTY = st.sampled_from([{"what": "step", "at": "H01"}, {"what": "hold", "at": "H01"}])
BOX = st.sampled_from([{"box": "poles 1"}, {"box": "hubs 2"}])
DATA = {
    "fitted": st.just({"exchange": True}),
    "withdrawn": st.just({"reason": "wrong"}),
    "damaged": st.sampled_from([{"what": "soaked", "severity": "bad"}, {"what": "soaked", "severity": "slight"},
                                {"what": "label_gone"}]),
    "repaired": st.just({"how": "dried", "by": "carpenter"}),
    "released": st.just({"name": "carpenter", "words": "looked at"}),
    "scrapped": st.just({"reason": "split"}),
    "made": st.just({"kind": "strut", "part_class": "B"}),
    "stored": st.sampled_from([{"bundle": "B"}, {"bundle": "C", "came_in": ["wet", "damaged"]}]),
    "raise_started": st.just({"name": "harvest"}), "way_chosen": st.just({"way": "crown set on last"}),
    "round_opened": st.just({"name": "spring"}), "checked": CHECK,
    "step_done": st.sampled_from([{"places": ["S002", "H01"], "act": "fitted"}, {"places": ["H03", "S001", "S003"]},
                                  {"places": ["H01", "S001", "S002"], "act": "taken_down"}]),
    "duty_taken": DUTY, "duty_left": DUTY,
    "box_taken": BOX, "box_given_back": BOX, "feet_held": FEET, "feet_freed": FEET,
}
OFTEN = (["fitted"] * 7 + ["step_done"] * 3 + ["taken_down"] * 4 + ["withdrawn"] * 4 + ["exchanged"] * 3
         + ["missing", "found", "feet_held"])


@st.composite
def wishes(draw):
    kind = draw(st.sampled_from([*OFTEN, *sorted(KINDS)]))
    hub = draw(st.integers(0, 3)) == 0
    about_part = KINDS[kind].about == "part"
    return Wish(kind, draw(st.sampled_from(HUBS if hub else STRUTS)) if about_part else None,
                draw(st.sampled_from([None, "H01", "H03"] if hub else [None, "S001", "S002", "S003"])),
                draw(DATA.get(kind, st.just({}))), draw(st.integers(-2, 9)), draw(st.integers(1, 6)),
                draw(st.integers(0, 9)) == 0, draw(st.integers(0, 9)) == 0)


DAYS = st.lists(wishes(), min_size=20, max_size=45)
COMMON = settings(deadline=None, max_examples=30, derandomize=True,
                  suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow,
                                         HealthCheck.data_too_large, HealthCheck.large_base_example])


def requests(day, laptop, entries):
    """The requests of a day, each with the time on the laptop's clock; `entries` gives the log so far."""
    now, key = MORNING, ""
    for number, wish in enumerate(day):
        now += timedelta(minutes=wish.minutes)
        key = key if wish.repeats and key else f"{'both' if wish.both else laptop} {number}"
        data = dict(wish.data)
        if wish.kind == "withdrawn":
            log = entries()
            data["entry"] = log[max(len(log) - wish.back, 0)].key if log else "nothing"
        place = None if wish.kind == "made" and wish.part else wish.place
        yield Request(key, wish.kind, wish.part, place, data=data, chief=True, sender=laptop), now


def live_through(site, day, laptop="a", times=1):
    """The state after sending all of it, each `times` times over."""
    states = [fold(site.kit, ())]
    for request, now in requests(day, laptop, lambda: states[-1].entries):
        for _ in range(times):
            outcome = decide(site, states[-1], request, now)
            if isinstance(outcome, Entry) and outcome.key not in states[-1].index:
                states.append(apply(states[-1], outcome))
    return states[-1]


def agrees_with_itself(state):
    """No part in two places, none twice in a place, part states and places tell the same; what is held is in."""
    assert set(state.held_feet) <= set(state.fitted)
    assert all(state.index[key].kind == "feet_held" for key in state.held_feet.values())
    sits = {place: part for part, past in state.parts.items() if (place := past.fitted_at) is not None}
    assert sits == state.fitted
    assert len(set(state.fitted.values())) == len(state.fitted)
    assert len(set(state.allocation.values())) == len(state.allocation)
    for place, part in state.fitted.items():
        assert state.part(part).part_class == state.kit.by_place[place].part_class


@COMMON
@given(day=DAYS)
def test_one_laptop(site, day):
    state = live_through(site, day)
    agrees_with_itself(state)
    assert not state.clashes
    assert len({entry.key for entry in state.entries}) == len(state.entries)
    assert fold(site.kit, state.entries) == state
    kept = fold(site.kit, map(veiled_older, state.entries))
    assert fold(site.kit, import_lines(export_lines(state.entries, site.kit), site.kit)) == kept
    assert replace(kept, entries=state.entries, index=state.index) == state


@COMMON
@given(day=DAYS)
def test_sent_twice_counts_once(site, day):
    assert live_through(site, day, times=2) == live_through(site, day)


@COMMON
@given(first=DAYS, second=DAYS, shuffle=st.randoms(use_true_random=False))
def test_joined_logs_agree(site, first, second, shuffle):
    ours, theirs = live_through(site, first).entries, live_through(site, second, "b").entries
    joined = fold(site.kit, (*ours, *theirs))
    agrees_with_itself(joined)
    mixed = [*theirs, *ours, *theirs]
    shuffle.shuffle(mixed)
    assert fold(site.kit, mixed) == joined
    assert {entry.key for entry in joined.entries} == {entry.key for entry in (*ours, *theirs)}
    one_by_one = fold(site.kit, ())
    for entry in mixed:
        one_by_one = apply(one_by_one, entry)
    assert one_by_one == joined
    some = mixed[:shuffle.randint(0, len(mixed))]
    kept = fold_from(effects_of(site.kit, effects_text(fold(site.kit, some))), some)
    assert kept == fold(site.kit, some)
    assert apply_all(kept, mixed[len(some):]) == joined


@settings(COMMON, max_examples=6)
@given(first=DAYS, second=DAYS)
def test_two_books_that_take_in_each_other(site, tmp_path_factory, first, second):
    folder = tmp_path_factory.mktemp("laptops")
    with SiteBook.open(site.kit, site.plan, folder / "a") as a, SiteBook.open(site.kit, site.plan, folder / "b") as b:
        for book, day, laptop in ((a, first, "a"), (b, second, "b")):
            for request, now in requests(day, laptop, lambda book=book: book.state.entries):
                book.submit(request, now)
        from_a = a.entries()
        for _ in range(2):
            a.take_in(import_lines(export_lines(b.entries(), site.kit), site.kit))
        b.take_in(from_a)
        assert b.take_in(a.entries()) == 0
        assert a.state == b.state
        assert sorted(entry.number for entry in a.entries()) == list(range(1, a.last_number + 1))
    with SiteBook.open(site.kit, site.plan, folder / "a") as again:
        assert again.state == a.state


ANYTHING = st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=9) | st.datetimes(
    timezones=st.just(UTC)), lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner,
                                                                                       max_size=3), max_leaves=5)
FIELDS = sorted({name for kind in KINDS.values() for name in kind.data.model_fields})


@settings(COMMON, max_examples=100)
@given(kind=st.sampled_from([*KINDS]) | ANYTHING, part=st.sampled_from([*STRUTS, *HUBS]) | ANYTHING, place=ANYTHING,
       data=st.dictionaries(st.sampled_from(FIELDS) | st.text(max_size=5), ANYTHING, max_size=5) | ANYTHING,
       sent_at=st.none() | st.datetimes())
def test_nothing_that_is_sent_breaks_the_door(site, kind, part, place, data, sent_at):
    state = fold(site.kit, ())
    request = Request("key", kind, part, place, sent_at=sent_at, data=data, chief=True)
    outcome = decide(site, state, request, MORNING)
    if isinstance(outcome, Entry):
        assert from_line(to_line(outcome), 1) == outcome
        assert not apply(state, outcome).clashes
    else:
        assert outcome.message.encode()


def test_the_days_are_full_enough_to_prove_something(site):
    """Else the properties above would hold of nothing."""
    seen: Counter[str] = Counter()

    @settings(COMMON, max_examples=40, database=None)
    @given(first=DAYS, second=DAYS)
    def count(first, second):
        state = live_through(site, first)
        joined = fold(site.kit, (*state.entries, *live_through(site, second, "b").entries))
        seen.update(entry.kind for entry in state.entries)
        seen["clashes"] += len(joined.clashes)
        seen["exchanges"] += sum(part != joined.kit.by_place[place].id for place, part in joined.allocation.items())

    count()
    assert len(set(KINDS) & set(seen)) >= 15
    assert min(seen["clashes"], seen["exchanges"], seen["withdrawn"]) > 40
