"""The fold takes whatever a file may hold, and says what it could not use."""

from datetime import UTC, datetime

import pytest

from fieldapp.base.said import in_words
from fieldapp.log.entry import Entry
from fieldapp.log.fold import apply, fold

MORNING = datetime(2026, 5, 1, 10, 14, tzinfo=UTC)


def entry(key, kind, part=None, place=None, /, order_ms=0, **data):
    return Entry(key=key, kind=kind, part=part, place=place, who="", at=MORNING, data=data,
                 order_ms=order_ms or int(key))


@pytest.mark.parametrize(("odd", "words"), [
    (entry("3", "levitated", "OH-S001-7"), "this version knows no entry of kind levitated"),
    (entry("3", "fitted", "OH-S999-7", "S002"), "OH-S999-7 is not a part of this kit"),
    (entry("3", "fitted", None, "S002"), "None is not a part of this kit"),
    (entry("3", "fitted", "OH-S002-5", "H01"), "OH-S002-5 cannot sit at H01"),
    (entry("3", "fitted", "OH-S002-5", None), "OH-S002-5 cannot sit at None"),
    (entry("3", "fitted", "OH-S002-5", "S001"), "S001 already holds OH-S001-7"),
    (entry("3", "fitted", "OH-S001-7", "S002"), "OH-S001-7 already sits at S001"),
    (entry("3", "taken_down", "OH-S002-5"), "OH-S002-5 was not in the frame"),
    (entry("3", "damaged", "OH-S001-7", colour="red"), "the data of this damaged entry cannot be read"),
    (entry("3", "withdrawn", entry="1"), "the data of this withdrawn entry cannot be read"),
    (entry("3", "released", "OH-S001-7", name="carpenter"), "OH-S001-7 was not quarantined"),
    (entry("3", "missing", "OH-S001-7"), "OH-S001-7 sits at S001"),
    (entry("3", "exchanged", "OH-S001-7", "S002"), "OH-S001-7 sits at S001"),
    (entry("3", "exchanged", "OH-S002-5", "H01"), "OH-S002-5 cannot be meant for H01"),
    (entry("3", "made", "OH-S002-5", kind="strut", part_class="B"), "OH-S002-5 was made twice"),
    (entry("3", "raise_ended"), "no raise was running"),
    (entry("3", "round_closed"), "no round was open"),
])
def test_an_entry_that_finds_no_room_has_no_effect_and_is_listed(kit, odd, words):
    before = [entry("1", "fitted", "OH-S001-7", "S001"), entry("2", "label_reprinted", "OH-S001-7")]
    plain, state = fold(kit, before), fold(kit, [*before, odd])
    assert [(clash.key, in_words(clash.words)) for clash in state.clashes] == [("3", words)]
    assert (state.fitted, state.parts, state.allocation) == (plain.fitted, plain.parts, plain.allocation)
    assert apply(plain, odd) == state


def test_withdrawing_the_first_of_two_lets_the_second_count(kit):
    log = [entry("1", "fitted", "OH-S001-7", "S001"), entry("2", "fitted", "OH-S002-5", "S001")]
    assert fold(kit, log).fitted == {"S001": "OH-S001-7"}
    state = fold(kit, [*log, entry("3", "withdrawn", entry="1", reason="misread")])
    assert state.fitted == {"S001": "OH-S002-5"}
    assert state.parts["OH-S001-7"].entries == ()
    assert not state.clashes


def test_nothing_is_withdrawn_before_it_happened(kit):
    log = [entry("1", "withdrawn", entry="2", reason="misread"), entry("2", "fitted", "OH-S001-7", "S001")]
    assert fold(kit, log).fitted == {"S001": "OH-S001-7"}


def test_one_key_on_two_laptops_counts_where_it_came_first(kit):
    ours, theirs = (entry("1", "fitted", "OH-S001-7", "S001", order_ms=at) for at in (5, 9))
    assert fold(kit, [theirs, ours]).entries == (ours,)


def test_a_state_is_not_changed_by_what_comes_after_it(kit):
    first = fold(kit, [entry("1", "fitted", "OH-S001-7", "S001")])
    apply(apply(first, entry("2", "taken_down", "OH-S001-7")), entry("3", "fitted", "OH-S002-5", "S001"))
    assert first == fold(kit, [entry("1", "fitted", "OH-S001-7", "S001")])
