"""Guessing takes for ever, whoever guesses and from however many addresses, and who did not guess does not wait."""

import pytest

from fieldapp.web.common.tries import MOST_IN_ALL, REMEMBERED_S, WITHIN_S, WRONG_AT_ONCE, WRONG_IN_ALL, Tries

CODES = 30 ** 6


@pytest.fixture
def clock():
    return [0.0]


@pytest.fixture
def tries(clock):
    return Tries(clock=lambda: clock[0])


def test_one_sender_has_to_wait_and_waiting_ends(tries, clock):
    assert all(tries.begin("a") for _ in range(WRONG_AT_ONCE))
    assert not tries.begin("a")
    assert tries.begin("b")
    clock[0] = WITHIN_S + 1
    assert tries.begin("a")


def test_a_right_one_does_not_count(tries):
    for _ in range(5 * WRONG_AT_ONCE):
        assert tries.begin("a")
        tries.right("a")
    assert not tries.somebody_guesses


def test_guessing_from_many_addresses_is_slowed_and_a_phone_that_never_guessed_joins_at_once(tries, clock):
    for number in range(WRONG_IN_ALL):
        assert tries.begin(f"10.0.0.{number}")
    assert tries.somebody_guesses
    assert not tries.begin("10.0.0.7")
    assert tries.begin("10.0.1.1")
    tries.right("10.0.1.1")
    clock[0] = WITHIN_S + 1
    assert tries.begin("10.0.0.7")


def test_no_number_of_addresses_gets_beyond_the_most_in_all(tries, clock):
    got = 0
    for second in range(180):
        clock[0] = float(second)
        got += sum(tries.begin(f"{second}-{number}") for number in range(100))
    assert got <= 4 * MOST_IN_ALL
    years = CODES / 2 / MOST_IN_ALL / 60 / 24 / 365
    assert years > 1


def test_it_forgets(tries, clock):
    for number in range(50):
        tries.begin(str(number))
    clock[0] = REMEMBERED_S + 1
    tries.begin("x")
    assert len(tries._of) == 1
    assert len(tries._in_all) == 1
