"""Two laptops, one kit: what one of them did not know of stays open; nothing forged, cut or copied comes in unseen."""

import json
from dataclasses import replace
from datetime import timedelta
from itertools import permutations
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import StoreError
from fieldapp.log.backup import export_lines, read_export, restore
from fieldapp.log.book import SiteBook
from fieldapp.log.chain import gaps
from fieldapp.log.entry import Entry, Request
from fieldapp.log.fold import fold
from fieldapp.log.joining import check_entries, join, review
from fieldapp.log.lines import from_line, to_line
from fieldapp.wording.joining import review_lines

HUB, OTHER, STRUT = "OH-H01-6", "OH-H03-2", "OH-S001-7"


class Laptop:
    """A book whose clock may be wrong, written to by phones whose clocks are right."""

    def __init__(self, site, path, morning, ahead=timedelta(0)):
        self.book = SiteBook.open(site.kit, site.plan, path)
        self.site, self.now, self.ahead, self.sent = site, morning, ahead, 0

    def does(self, kind, part=None, /, *, chief=True, **data):
        self.sent += 1
        self.now += timedelta(minutes=1)
        request = Request(f"{self.book.laptop} {self.sent}", kind, part, data=data, chief=chief, sender="phone 3",
                          sent_at=self.now)
        outcome = self.book.submit(request, self.now + self.ahead)
        assert isinstance(outcome, Entry), outcome
        return outcome

    def exported(self):
        lines = list(export_lines(self.book.entries(), self.site.kit, self.book.laptops.values()))
        return read_export(lines, self.site.kit)

    def takes_in(self, brought):
        found = review(self.book.state, brought, self.book.laptops)
        join(self.book, brought, found, self.now + self.ahead)
        return found


@pytest.fixture
def pair(site, tmp_path, crew):
    made = [Laptop(site, tmp_path / name / "log.sqlite", crew.now) for name in "ab" if not (tmp_path / name).mkdir()]
    yield made
    for laptop in made:
        laptop.book.close()


def both_ways(a, b):
    """Each takes in the other's log until neither brings anything new; then both must say the same."""
    for _ in range(3):
        a.takes_in(b.exported())
        b.takes_in(a.exported())
    assert a.book.state.parts == b.book.state.parts
    assert a.book.state.entries == b.book.state.entries
    return a.book.state


def test_a_release_lifts_no_damage_that_its_writer_had_not_seen(pair):
    a, b = pair
    b.does("damaged", HUB, what="arm_cracked", arm=1, severity="bad")
    a.does("damaged", HUB, what="arm_snapped", arm=2)
    b.now += timedelta(minutes=20)
    b.does("repaired", HUB, how="scarf", by="carpenter", arm=1)
    b.does("released", HUB, name="carpenter")
    past = both_ways(a, b).parts[HUB]
    assert past.condition == "quarantined"
    assert [(defect.arm, defect.mended, defect.released) for defect in past.defects] == [(2, False, False),
                                                                                          (1, True, True)] \
        or [(defect.arm, defect.mended, defect.released) for defect in past.defects] == [(1, True, True),
                                                                                         (2, False, False)]
    a.does("repaired", HUB, how="replaced_arm", by="carpenter", arm=2)
    a.does("released", HUB, name="carpenter")
    assert both_ways(a, b).parts[HUB].condition == "watch"


def test_a_repair_of_the_whole_part_and_a_passed_check_leave_what_they_did_not_see(pair):
    a, b = pair
    for laptop in pair:
        laptop.does("round_opened", name="spring")
    b.does("damaged", HUB, what="soaked", severity="slight")
    a.does("damaged", HUB, what="arm_cracked", arm=2, severity="slight")
    b.now += timedelta(hours=1)
    b.does("repaired", HUB, how="dried", by="carpenter")
    b.does("checked", HUB, items=[{"item": "cracks", "result": "pass"}])
    assert b.book.state.parts[HUB].condition == "sound"
    past = both_ways(a, b).parts[HUB]
    assert (past.condition, [defect.arm for defect in past.defects]) == ("watch", [2])


def test_what_is_missing_on_one_side_is_found_only_by_who_knew(pair):
    a, b = pair
    b.does("missing", STRUT)
    a.does("missing", STRUT)
    a.does("damaged", OTHER, what="label_gone")
    b.now += timedelta(hours=1)
    b.does("found", STRUT)
    b.does("label_reprinted", OTHER)
    past = both_ways(a, b).parts
    assert past[OTHER].label_gone
    assert past[STRUT].missing


def test_a_press_that_waited_in_a_phone_answers_no_damage_that_came_meanwhile(crew):
    first = crew.done("damaged", HUB, what="soaked", severity="bad")
    crew.done("damaged", HUB, what="arm_snapped", arm=2)
    waited = Request("k", "repaired", HUB, data={"how": "dried", "by": "carpenter"}, seen=first.number)
    assert crew.book.submit(waited, crew.now).answers == (first.key,)
    released = Request("l", "released", HUB, data={"name": "x", "words": "dry"}, chief=True, seen=first.number)
    refusal = crew.book.submit(released, crew.now)
    assert refusal.code == "not_seen"
    assert "arm 2 snapped" in refusal.message
    assert crew.book.state.parts[HUB].condition == "quarantined"


def test_a_fast_clock_on_one_side_throws_nobody_ahead(site, tmp_path, crew):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    fast = Laptop(site, tmp_path / "a" / "log.sqlite", crew.now, ahead=timedelta(hours=45))
    b = Laptop(site, tmp_path / "b" / "log.sqlite", crew.now)
    fast.does("fitted", HUB)
    b.does("fitted", STRUT)
    found = b.takes_in(fast.exported())
    assert found.ahead == {fast.book.laptop: round(timedelta(hours=45).total_seconds() * 1000)}
    later = b.does("taken_down", HUB)
    assert later.order_ms - b.now.timestamp() * 1000 < 1000
    assert HUB not in b.book.state.fitted.values()
    both_ways(fast, b)
    assert HUB not in fast.book.state.fitted.values()
    for laptop in (fast, b):
        laptop.book.close()


def test_the_review_says_what_would_come_in_before_anything_is_kept(pair):
    a, b = pair
    a.does("damaged", HUB, what="arm_snapped", arm=2)
    a.does("made", kind="strut", part_class="B")
    a.does("scrapped", STRUT, reason="split")
    b.does("damaged", HUB, what="arm_cracked", arm=1, severity="bad")
    before = b.book.state
    found = review(before, a.exported(), b.book.laptops)
    assert b.book.state is before
    assert (found.both, found.strangers, found.gaps) == ((HUB,), (a.book.laptop,), ())
    assert [entry.kind for entry in found.chief_acts] == ["scrapped"]
    assert len(found.made) == 1
    said = "\n".join(review_lines(found, before, b.now))
    for words in ("3 entries are new here", f"Laptop {a.book.laptop} is not known here yet",
                  "Both sides wrote about H01", "Act of the chief: S001 scrapped"):
        assert words in said
    b.takes_in(a.exported())
    assert review(b.book.state, a.exported(), b.book.laptops).strangers == ()


def test_parts_made_on_both_sides_have_ids_of_their_own(pair):
    a, b = pair
    for laptop, name in ((a, "KQ2MZ7TA"), (b, "B6YTW3XE")):     # one pair in 900 would share a block
        laptop.book.site = replace(laptop.book.site, laptop=name)
        for _ in range(3):
            laptop.does("made", kind="strut", part_class="B")
            laptop.does("made", kind="hub", part_class="3")
    state = both_ways(a, b)
    assert (len(state.made), state.clashes) == (12, ())


def test_one_id_given_on_both_sides_is_named_before_joining(pair):
    a, b = pair
    b.book.site = replace(b.book.site, laptop=a.book.laptop)        # as if one in 900
    part = a.does("made", kind="strut", part_class="B").part
    assert b.does("made", kind="strut", part_class="A").part == part
    found = review(b.book.state, a.exported(), b.book.laptops)
    assert found.twice == (part,)
    assert f"two parts with one ID: {part.split('-')[1]}. Log one" in "\n".join(
        review_lines(found, b.book.state, b.now))


def test_an_act_of_the_chief_from_a_phone_that_was_none_is_shown_as_such(pair):
    a, b = pair
    a.does("scrapped", STRUT, reason="split")
    brought = a.exported()
    found = review(b.book.state, replace(brought, entries=tuple(replace(e, chief=False) for e in brought.entries)),
                   b.book.laptops)
    assert "from a phone that was no chief" in "\n".join(review_lines(found, b.book.state, b.now))


@pytest.mark.parametrize(("change", "fault"), [
    (lambda entries: entries[:1] + entries[2:], "missing"),
    (lambda entries: (*entries[:1], replace(entries[1], data={**entries[1].data, "arm": 3}), *entries[2:]), "changed"),
    (lambda entries: (*entries[:2], replace(entries[2], who="somebody else")), "unsigned"),
    (lambda entries: tuple(replace(entry, laptop="AAAAAAAA") for entry in entries), "unknown")])
def test_what_was_changed_cut_or_forged_is_named_and_not_joined(pair, change, fault):
    a, b = pair
    for arm in (1, 2, 3):
        a.does("damaged", HUB, what="arm_cracked", arm=arm, severity="bad")
    brought = a.exported()
    assert review(b.book.state, brought, b.book.laptops).gaps == ()
    found = review(b.book.state, replace(brought, entries=change(brought.entries)), b.book.laptops)
    assert fault in {gap.fault for gap in found.gaps}


@pytest.mark.parametrize(("forged", "words"), [
    ({"order_ms": 2**52}, "order_ms is"), ({"at": "9999-01-01T00:00:00.000Z"}, "is not between 2000 and a year"),
    ({"kind": "made", "part": "OH-S999-0", "data": {"kind": "strut", "part_class": "B", "number": 999}}, "not called"),
    ({"kind": "made", "data": {"kind": "strut", "part_class": "Z"}}, "no class 'Z'"),
    ({"kind": "repaired", "data": {"how": "magic", "by": "x"}}, "how is 'magic'"), ({"who": "x" * 300}, "longer than")])
def test_entries_are_let_in_by_the_same_door_as_a_phone_s(pair, forged, words):
    a, b = pair
    record = json.loads(to_line(a.does("damaged", HUB, what="soaked", severity="bad")))
    with pytest.raises(StoreError, match=words):
        check_entries([from_line(json.dumps({**record, **forged}), 2)], b.site.kit, b.now)


def test_a_way_that_nobody_knows_is_followed_by_nobody(pair):
    a, b = pair
    chosen = replace(a.does("raise_started", name="May"), kind="way_chosen", data={"way": "upside down"})
    state = fold(b.site.kit, [chosen])
    assert (state.way, len(state.clashes)) == (None, 1)


def test_a_log_that_is_gone_or_cut_short_is_not_begun_anew_in_silence(site, tmp_path, crew):
    path = tmp_path / "log.sqlite"
    crew.done("damaged", HUB, what="arm_snapped", arm=2)
    crew.done("fitted", STRUT)
    crew.book.close()
    copy = path.with_name("log-2026-05-01.sqlite")
    copy.write_bytes(path.read_bytes())
    path.unlink()
    for content in (None, b""):
        if content is not None:
            path.write_bytes(content)
        with pytest.raises(StoreError, match=r"(gone|empty): it held 2 entries.*log-2026-05-01.sqlite.*--go-on"):
            SiteBook.open(site.kit, site.plan, path)
    restore(copy, path, site.kit)
    with SiteBook.open(site.kit, site.plan, path) as book:
        assert book.state.parts[HUB].condition == "quarantined"
        branch = book.submit(Request("k", "fitted", "OH-S002-5"), crew.now)
        assert (branch.serial, branch.laptop != crew.book.laptop) == (1, True)
        assert gaps(book.entries(), book.laptops) == ()


def test_an_end_that_was_cut_off_is_named(site, tmp_path, crew):
    path = tmp_path / "log.sqlite"
    crew.done("fitted", STRUT)
    crew.book.close()
    early = path.read_bytes()
    with SiteBook.open(site.kit, site.plan, path) as book:
        book.submit(Request("k", "damaged", HUB, data={"what": "arm_snapped", "arm": 2}), crew.now)
    path.write_bytes(early)
    with pytest.raises(StoreError, match=r"entry 2 of laptop [A-Z2-7]{8}: missing"):
        SiteBook.open(site.kit, site.plan, path)
    with SiteBook.open(site.kit, site.plan, path, go_on=True) as book:
        assert book.submit(Request("l", "fitted", "OH-S002-5"), crew.now).serial == 1
    SiteBook.open(site.kit, site.plan, path).close()


NUMBERED_BY = {"a": "KQ2MZ7TA", "b": "B6YTW3XE", "c": "ZD4HN5QL"}
"""For parts made: none of these share a block of numbers."""


class Days:
    """Laptops of one kit that write and join as they like; who knew of what is kept beside them."""

    def __init__(self, site, folder, morning, ahead):
        self.laptops = {name: Laptop(site, folder / name, morning, by) for name, by in ahead.items()}
        self.knows = {name: set() for name in ahead}
        self.told, self.answered, self.lost, self.back, self.made = set(), set(), set(), set(), 0
        for name, laptop in self.laptops.items():
            laptop.book.site = replace(laptop.book.site, laptop=NUMBERED_BY[name])

    def lives(self, name, act, arm=1, other=None):
        laptop = self.laptops[name]
        past, strut = laptop.book.state.parts[HUB], laptop.book.state.parts[STRUT]
        if act == "join":
            laptop.takes_in(self.laptops[other].exported())
            self.knows[name] |= self.knows[other]
        elif act == "damaged":
            self._tells(name, self.told, laptop.does("damaged", HUB, what="arm_cracked", arm=arm, severity="bad"))
        elif act == "repaired":
            laptop.does("repaired", HUB, how="scarf", by="carpenter", arm=arm)
        elif act == "released" and past.condition == "quarantined":
            laptop.does("released", HUB, name="carpenter", words="looked at")
            self.answered |= self.knows[name]
        elif act == "missing" and not strut.missing:
            self._tells(name, self.lost, laptop.does("missing", STRUT))
        elif act == "found" and strut.missing:
            laptop.does("found", STRUT)
            self.back |= self.knows[name]
        elif act == "made":
            laptop.does("made", kind="strut", part_class="B")
            self.made += 1

    def _tells(self, name, what, entry):
        what.add(entry.key)
        self.knows[name].add(entry.key)

    def end(self):
        """All join all: they say the same, and nothing is lifted that its writer had not seen."""
        for _ in range(3):
            for name, other in permutations(self.laptops, 2):
                self.lives(name, "join", other=other)
        states = [laptop.book.state for laptop in self.laptops.values()]
        assert all((state.parts, state.entries) == (states[0].parts, states[0].entries) for state in states)
        past, strut = states[0].parts[HUB], states[0].parts[STRUT]
        assert {defect.entry for defect in past.defects if not defect.released} == self.told - self.answered
        assert (past.condition == "quarantined") == bool(self.told - self.answered)
        assert {key for _what, key in strut.told_by} == self.lost - self.back
        assert strut.missing == bool(self.lost - self.back)
        assert len(states[0].made) == self.made
        for laptop in self.laptops.values():
            assert gaps(laptop.book.entries(), laptop.book.laptops) == ()
            laptop.book.close()


ACTS = st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from(["damaged", "repaired", "released", "join"]),
                          st.integers(1, 3)), min_size=4, max_size=14)


@settings(deadline=None, max_examples=25, derandomize=True,
          suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(acts=ACTS)
def test_damage_stays_until_somebody_who_knew_of_it_answers(site, tmp_path_factory, crew, acts):
    """Whatever two laptops do and whenever they join: an unsafe defect is open unless a release knew of it."""
    days = Days(site, tmp_path_factory.mktemp("pair"), crew.now, dict.fromkeys("ab", timedelta(0)))
    for name, act, arm in acts:
        days.lives(name, act, arm, "b" if name == "a" else "a")
    days.end()


@pytest.mark.bench
@pytest.mark.parametrize("seed", range(100))
def test_two_or_three_laptops_with_clocks_that_differ(site, tmp_path, crew, seed):
    """Run with: pytest -m bench tests/log/test_joining.py"""
    draw = Random(seed)
    ahead = {name: timedelta(hours=draw.choice([0, 0, 0, 3, 45])) for name in "abc"[:draw.choice([2, 3])]}
    days = Days(site, tmp_path, crew.now, ahead)
    acts = ["damaged", "repaired", "released", "missing", "found", "made", "join", "join"]
    for _ in range(draw.randint(10, 50)):
        name, other = draw.sample(sorted(ahead), 2)
        days.lives(name, draw.choice(acts), draw.randint(1, 3), other)
        days.laptops[name].now += timedelta(minutes=draw.choice([0, 0, 20, 600]))
    days.end()
