"""Hostile requests over every route of the application: never a 500, never an entry that the rules forbid.

A few hundred in every run; ten thousand with `python -m pytest -m bench -s tests/web/server/test_fuzz.py`.
"""

import dataclasses
import random
import string

import pytest
from small_frame import SPARES, tiny_design

from fieldapp.base.said import in_words
from fieldapp.kit import build_kit
from fieldapp.log.kinds import KINDS
from fieldapp.plan.order import level_order

NASTY = ["", "0", "-1", "9" * 40, "OH-H01-6", "OH-S073-C.2", "S073", "oh s073", "H99", "ZZ-H01-6", "../../etc/passwd",
         "%00", "%2e%2e", "\u202e", "日本", "a" * 300, "<script>", "' OR 1=1 --", "{{7*7}}", "\ud7ff",
         "null", "true", "[]", "{}", "1e309", "NaN",
         "2026-13-45T99:99", "OH-H01", "0H-H0I-6", "\x00", "\r\nX: y", ".1", "..", "~", "H16", "S001"]
KIT = build_kit(tiny_design(spares=SPARES))
REAL = [(KIT.by_place[place].id, place) for place in ("H01", "H02", "H04", "H07", "S001", "S005", "S013")]
TYPES = ["application/json", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/plain", ""]
METHODS = ["GET", "POST", "HEAD", "PUT", "DELETE", "OPTIONS"]
FIELDS = ["key", "what", "arm", "end", "severity", "words", "place", "part", "reason", "name", "how", "by",
          "usable_from", "capacity", "bundle", "came_in", "way", "q", "who", "code", "phrase", "kind", "part_class",
          "entry", "item", "value"]


@pytest.fixture(scope="session")
def kit():
    """In place of the demo's frame."""
    return KIT


@pytest.fixture(scope="session")
def plan(kit):
    return level_order(kit.frame, kit.design)


def hostile_requests(app, seed, count):
    """`count` requests as keyword arguments of a test client's `open`, the same for the same seed."""
    dice = random.Random(seed)
    rules = [rule for rule in app.url_map.iter_rules() if rule.endpoint != "static"]
    writing = next(rule for rule in rules if rule.endpoint == "api.entries")
    for _ in range(count):
        yield _request(dice, writing if dice.random() < 0.3 else dice.choice(rules))


def _request(dice, rule):
    path = rule.rule
    for name in rule.arguments:
        for spelled in (f"<{name}>", f"<int:{name}>", f"<path:{name}>", f"<string:{name}>"):
            path = path.replace(spelled, _word(dice).replace("/", "%2F").replace("?", "%3F").replace("#", "%23"))
    method = dice.choice(sorted(rule.methods)) if dice.random() < 0.7 else dice.choice(METHODS)
    asked = {"path": path.replace("\r", "").replace("\n", ""), "method": method, "headers": _headers(dice)}
    if dice.random() < 0.3:
        asked["query_string"] = {dice.choice([*FIELDS, "since", "skip", "done"]): _word(dice)}
    if method in ("POST", "PUT"):
        asked |= _body(dice)
    return asked


def _body(dice):
    kind = dice.random()
    if kind < 0.45:
        return {"json": {"entries": [_entry(dice) for _ in range(dice.randint(0, 3))]}}
    if kind < 0.85:
        return {"data": {name: _word(dice) for name in dice.sample(FIELDS, dice.randint(0, 8))}}
    return {"data": dice.randbytes(dice.randint(0, 200)), "content_type": dice.choice(TYPES)}


def _entry(dice):
    if dice.random() < 0.4:
        return _likely_entry(dice)
    entry = {"key": "".join(dice.choices(string.ascii_letters, k=20)), "kind": dice.choice([*KINDS, "nonsense"]),
             "part": dice.choice(NASTY), "place": dice.choice([None, *NASTY]), "who": _word(dice),
             "data": {name: dice.choice([_word(dice), 3, -1, None, [], {}, 1.5, True])
                      for name in dice.sample(FIELDS, dice.randint(0, 5))}}
    if dice.random() < 0.2:
        del entry[dice.choice(list(entry))]
    return entry if dice.random() < 0.95 else dice.choice([None, 5, "x", []])


def _likely_entry(dice):
    """Well formed, but whether the rules take it depends on what stands."""
    part, place = dice.choice(REAL)
    return {"key": "".join(dice.choices(string.ascii_letters, k=20)), "part": part,
            "kind": dice.choice(["fitted", "fitted", "taken_down", "missing", "found", "exchanged", "label_reprinted"]),
            "place": dice.choice([None, place, dice.choice(REAL)[1]]), "data": dice.choice([{}, {"exchange": True}])}


def _headers(dice):
    headers = {}
    if dice.random() < 0.2:
        headers["If-None-Match"] = dice.choice(['"1-2-3"', "*", 'W/"', "\x7f"])
    if dice.random() < 0.2:
        headers["Accept-Language"] = dice.choice(["nl", "xx", "de;q=9", "," * 50, "fr-CA,fr;q=0.5"])
    if dice.random() < 0.2:
        headers["Cookie"] = dice.choice(["raisebook_who=%00", "raisebook_joined=x.y.z", "raisebook_chief=1", ";;;=",
                                         "raisebook_language=../x"])
    return headers


def _word(dice):
    if dice.random() < 0.7:
        return dice.choice(NASTY)
    return "".join(chr(dice.choice([dice.randint(32, 126), dice.randint(161, 0x2FFF)]))
                   for _ in range(dice.randint(1, 30)))


def trouble(book):
    """What is wrong with the state after whatever was asked, or None: the promises that rules make."""
    state, kit = book.state, book.site.kit
    for place, part in state.fitted.items():
        past = state.parts[part]
        if past.fitted_at != place:
            return f"{part} sits at {place} and says {past.fitted_at}"
        needed = kit.by_place[place]
        if (state.part(part).kind, state.part(part).part_class) != (needed.kind, needed.part_class):
            return f"{part} of another class sits at {place}"
    if len(set(state.fitted.values())) != len(state.fitted):
        return "one part sits at two places"
    return f"an entry without effect: {in_words(state.clashes[0].words)}" if state.clashes else None


def _survives(app, book, seed, count):
    client = app.test_client()
    tally = {}
    for asked in hostile_requests(app, seed, count):
        answer = client.open(**asked)
        tally[answer.status_code] = tally.get(answer.status_code, 0) + 1
        assert answer.status_code < 500, (asked, answer.text[:500])
        answer.close()
    assert trouble(book) is None
    return tally


def test_hostile_requests(app, book, few_losses):
    tally = _survives(app, book, seed=1, count=300)
    assert tally.get(200, 0) > 20, "some must pass, or nothing is shown"
    assert book.last_number > 0, "some entries must be admitted, or no rule was tried"


def test_the_check_can_fail(app, book, kit):
    part = kit.by_place["H01"].id
    assert trouble(book) is None
    book._state = dataclasses.replace(book.state, fitted={"H01": part, "H02": part})
    assert trouble(book)


@pytest.mark.bench
def test_ten_thousand(app, book):
    tally = _survives(app, book, seed=2, count=10_000)
    print("\n" + ", ".join(f"{count} times {code}" for code, count in sorted(tally.items())),
          f"\n{book.last_number} entries admitted by the rules")
