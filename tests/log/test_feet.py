"""Feet that are pegged and let go: what the log takes, what it refuses, and that a foot taken out is held no more."""

PEG = "feet_held"


def test_feet_are_pegged_by_one_entry_and_let_go_by_another(crew):
    for part in ("OH-H01-6", "OH-H02-4", "OH-H03-2"):
        crew.done("fitted", part)
    entry = crew.done(PEG, feet=["H02", "H01"])
    assert crew.book.state.held_feet == {"H02": entry.key, "H01": entry.key}
    more = crew.done(PEG, feet=["H01", "H03"])
    assert (more.place, more.data["feet"]) == ("H03", ["H03"])
    assert crew.refused(PEG, feet=["H01"]) == (
        "pegged or weighed down already: H01 (10:17, phone 3). Nothing more to do.")
    crew.done("feet_freed", feet=["H01", "H02"])
    assert list(crew.book.state.held_feet) == ["H03"]


def test_what_is_no_foot_or_not_in_cannot_be_held(crew):
    assert crew.refused(PEG, feet=["H26"]).startswith("H26 is no foot of this frame. Feet are the hubs on the ground: ")
    assert crew.refused(PEG, feet=["H01"]) == (
        "not in the frame yet: H01. Log it as fitted first, then peg it.")
    assert crew.refused("feet_freed", feet=["H01"]) == (
        "not logged as pegged or weighed down: H01. Nothing more to do.")
    assert crew.refused(PEG).startswith("'feet pegged or weighed down' needs: feet.")


def test_a_foot_that_comes_out_must_be_pegged_again(crew):
    crew.done("fitted", "OH-H01-6")
    crew.done(PEG, feet=["H01"])
    crew.done("taken_down", "OH-H01-6")
    crew.done("fitted", "OH-H01-6")
    assert not crew.book.state.held_feet


def test_the_entry_that_fitted_a_foot_stays_while_pegs_hold_it(crew):
    fitted = crew.done("fitted", "OH-H01-6")
    crew.done(PEG, feet=["H01"])
    assert "feet pegged or weighed down" in crew.refused("withdrawn", entry=fitted.key, reason="wrong hub")
