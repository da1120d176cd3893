"""One example of every kind: it is admitted, kept, exported, read back and folded to the same state."""

import pytest

from fieldapp.log.backup import export_lines, import_lines
from fieldapp.log.fold import fold
from fieldapp.log.kinds import KINDS

HUB, STRUT = "OH-H01-6", "OH-S001-7"
BROKEN = ("damaged", HUB, {"what": "arm_cracked", "arm": 2, "severity": "bad", "words": "Ast – gerissen 🪵"})
MENDED = ("repaired", HUB, {"how": "scarf", "by": "carpenter", "arm": 2, "capacity": 0.6,
                            "usable_from": "2026-05-01T09:00:00+02:00"})
OPENED = ("round_opened", None, {"name": "spring", "checklist": "default"})
TAKEN = ("box_taken", None, {"box": "poles 1"})
STARTED = ("raise_started", None, {"name": "harvest week"})
STOPPED = ("stopped", None, {"words": "a hub cracked"})
FOOT, PEGGED = ("fitted", HUB, {}), ("feet_held", None, {"feet": ["H01"]})
SWAP = ("exchange_begun", None, {"place": "H01", "takes": ["H01"], "holds": ["H02"]})
WANTED = ("wanted", None, {"where": "Mill Green", "first": "2027-05-01", "last": "2027-05-03", "words": "with pegs"})
SPARE, LOAN = "OH-H30-T", {"loan": "loan 1", "kit": "MD", "title": "Mill Dome"}
LENT = ("lent", SPARE, LOAN)
BORROWED = ("borrowed", "MD-S001-K", {**LOAN, "kind": "strut", "part_class": "B", "number": 1, "mass_kg": 0.46,
                                      "cut_length_mm": 1355.08})
STEP = ("step_done", None, {"places": ["H01", "S001"], "scanned": [HUB]})
DAYS = {
    "fitted": [("fitted", STRUT, {})],
    "taken_down": [("fitted", STRUT, {}), ("taken_down", STRUT, {})],
    "damaged": [BROKEN],
    "withdrawn": [("fitted", STRUT, {}), ("withdrawn", None, {"entry": "key 1", "reason": "wrong strut"})],
    "raise_started": [STARTED],
    "raise_ended": [STARTED, ("raise_ended", None, {})],
    "strike_started": [STARTED, ("fitted", STRUT, {}), ("strike_started", None, {})],
    "way_chosen": [("way_chosen", None, {"way": "crown set on last"})],
    "repaired": [BROKEN, MENDED],
    "released": [BROKEN, MENDED, ("released", HUB, {"name": "carpenter"})],
    "exchanged": [("exchanged", STRUT, {"place": "S003"})],
    "missing": [("missing", STRUT, {"words": "not in bundle 4"})],
    "found": [("missing", STRUT, {}), ("found", STRUT, {})],
    "scrapped": [("scrapped", STRUT, {"reason": "split"})],
    "code_kept": [("code_kept", STRUT, {"code": "4006381333931"})],
    "measured": [("measured", STRUT, {"item": "length", "value": 1204.0, "plus_minus": 3.0})],
    "label_reprinted": [("label_reprinted", STRUT, {"end": 1})],
    "made": [("made", None, {"kind": "hub", "part_class": "3", "place": "H12"})],
    "stored": [("fitted", STRUT, {}), ("stored", STRUT, {"bundle": "B", "came_in": ["wet", "dirty"]})],
    "joined": [("fitted", STRUT, {}), ("joined", None, {"laptop": "this one", "serial": 1, "ahead_ms": 90_000})],
    "feet_held": [FOOT, PEGGED],
    "feet_freed": [FOOT, PEGGED, ("feet_freed", None, {"feet": ["H01"]})],
    "step_done": [STEP],
    "duty_taken": [("duty_taken", None, {"what": "step", "at": "H01"})],
    "duty_left": [FOOT, ("duty_taken", None, {"what": "hold", "at": "H01"}),
                  ("duty_left", None, {"what": "hold", "at": "H01"})],
    "exchange_begun": [FOOT, SWAP],
    "exchange_ended": [FOOT, SWAP, ("exchange_ended", None, {})],
    "stopped": [STOPPED],
    "stop_seen": [STOPPED, ("stop_seen", None, {"stop": "key 1"}, "phone 4")],
    "stop_lifted": [STOPPED, ("stop_lifted", None, {})],
    "wind_read": [("wind_read", None, {"gust_m_s": 7.4, "words": "at the crown"})],
    "wanted": [WANTED],
    "lent": [LENT],
    "home_again": [LENT, ("home_again", SPARE, {**LOAN, "condition": "watch", "words": "arm 2 rubbed"})],
    "borrowed": [BORROWED],
    "given_back": [BORROWED, ("given_back", "MD-S001-K", LOAN)],
    "asked_for": [("asked_for", None, {**LOAN, "part": "MD-H40-X"})],
    "log_home": [("moved", None, {"where": "Mill Green", "own_log": True}), ("log_home", None, {})],
    "moved": [("moved", None, {"where": "barn"})],
    "round_opened": [OPENED],
    "round_closed": [OPENED, ("round_closed", None, {})],
    "box_taken": [OPENED, TAKEN],
    "box_given_back": [OPENED, TAKEN, ("box_given_back", None, {"box": "poles 1"})],
    "checked": [OPENED, ("checked", HUB, {"seen": "typed", "box": "2", "items": [
        {"item": "moisture", "result": "fail", "value": 19.25, "unit": "%", "critical": True}]})],
}


def test_every_kind_has_an_example():
    assert set(DAYS) == set(KINDS)


@pytest.mark.parametrize("kind", DAYS)
def test_round_trip(crew, site, kind):
    for name, part, data, *phone in DAYS[kind]:
        rest = {name: value for name, value in data.items() if name != "place"}
        if name == "joined":
            rest["laptop"] = crew.book.laptop
        sender = "" if name == "joined" else next(iter(phone), "phone 3")
        crew.done(name, part, data.get("place"), chief=True, sender=sender, **rest)
    state = crew.book.state
    assert state.entries[-1].kind == kind
    assert not state.clashes
    assert crew.book._store.entries() == state.entries
    lines = list(export_lines(crew.book.entries(), site.kit))
    assert import_lines(lines, site.kit) == state.entries
    assert list(export_lines(import_lines(lines, site.kit), site.kit)) == lines
    assert fold(site.kit, import_lines(lines, site.kit)) == state
