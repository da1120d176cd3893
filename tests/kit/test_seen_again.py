"""How long an inspection holds: careful defaults for lists of old, limits read back, a message for each bad value."""

import pytest

from fieldapp.base.errors import KitError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit.checklist_defaults import checks_text, default_checks
from fieldapp.kit.checklist_file import checklist_of
from fieldapp.kit.seen_again import SeenAgain

LINES = "".join(f'[[{kind}]]\nitem = "ends"\nlook = "Look."\nsource = "ours"\n' for kind in ("strut", "hub"))


def test_a_list_without_limits_has_the_strict_ones_and_each_may_be_set_alone():
    assert checklist_of(LINES).seen_again == SeenAgain(months=12, wettings=1, raises=1, hours=1000)
    assert checklist_of(f"{LINES}[seen_again]\nraises = 3\n").seen_again == SeenAgain(12, 1, 3)
    assert checklist_of(f"[seen_again]\nmonths = 6\nwettings = 2\n{LINES}").seen_again == SeenAgain(6, 2, 1)
    assert ("\n[seen_again]\nmonths = 12\nwettings = 1\nraises = 1\nhours = 1000\n"
            in checks_text(default_checks(orchard_hall())))


@pytest.mark.parametrize(("text", "words"), [
    ("[seen_again]\nmonths = 0", "[seen_again]: months is 0; allowed are whole numbers from 1 to 60. Write 12 to have "
                                 "every part seen once a year, or leave the line out for that."),
    ("[seen_again]\nmonths = 61", "months is 61; allowed are whole numbers from 1 to 60."),
    ("[seen_again]\nwettings = -1", "wettings is -1; allowed are whole numbers from 1 to 100. Write 1 to have a part "
                                    "seen again whenever it got wet, or leave the line out for that."),
    ("[seen_again]\nraises = 1.5", "raises is 1.5; allowed are whole numbers from 1 to 100."),
    ("[seen_again]\nraises = true", "raises is true; allowed are whole numbers from 1 to 100."),
    ("[seen_again]\nwetings = 1", "[seen_again]: wetings is not a key; the nearest is wettings."),
    ("[[seen_again]]\nraises = 1", "allowed is a table. Write [seen_again] with single brackets on a line of its own"),
    ("[seen_agian]\nraises = 1", "seen_agian is not a part of the list; the nearest is [seen_again]."),
])
def test_a_bad_limit_is_named_with_what_is_allowed(text, words):
    with pytest.raises(KitError) as caught:
        checklist_of(f"{LINES}{text}\n")
    assert words in str(caught.value)
