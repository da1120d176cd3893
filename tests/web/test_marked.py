"""Nothing on any page is left in English: a language in which every message is marked, read by a robot.

The robot follows links and sends forms, in every state that a kit can be in; what people write themselves is in Greek
letters here, so that every Latin letter outside the marks is ours. Paper is read in `tests/prints`.
"""

import random
import re
import shutil
from collections import Counter, deque
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import marked as beside
import pytest
from at_the_laptop import at_the_laptop
from werkzeug.exceptions import HTTPException
from werkzeug.security import generate_password_hash

from fieldapp.base.errors import StoreError
from fieldapp.base.said import in_words
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.book import SiteBook
from fieldapp.log.opening import plan_for
from fieldapp.plan.planner import way_plans
from fieldapp.reports.raising import places_of
from fieldapp.web.common import i18n
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.common.rights import Rights
from fieldapp.web.raising import course
from fieldapp.web.server import create_app

PHRASE = "apple cart long rope"
MORNING = datetime(2027, 9, 12, 10, 14, tzinfo=UTC)
STRANGER = {"REMOTE_ADDR": "10.0.0.9"}
PER_PAGE = 3
"""How often a robot looks at pages of one kind."""
WAYS_IN = ("/", "/find", "/log", "/me", "/join", "/live", "/day", "/api/day", "/ready", "/inspect", "/bundles", "/make",
           "/ways", "/raise", "/pocket", "/P/S013.2", "/P/H07", "/place/H07", "/ring/1", "/damage/H07", "/api/state",
           "/api/parts/S013", "/history/S013", "/other/H07", "/more/H07", "/P/XX9", "/P/ZZ-H01-6", "/ring/99",
           "/place/H99", "/nowhere", "/photo", "/inspect/find?q=XX", "/label/S013/labels.pdf?start=999")

OURS = ("Orchard Hall", "OrchardHall", "harvest2027", "English", "Nederlands", "Deutsch", "Français", "Español")
MACHINES = frozenset({"key", "kind", "who", "at", "shape", "condition", "conditions", "data", "class", "kit"})
"""Names in JSON whose values no page shows."""
NAMES = re.compile("|".join((
    r"⟦[^⟧]*⟧", r"\{(n|id|other)\}", r"https?://\S+", r"\b[A-Z]{2,3}(-[HS]\d+-\w)?(\.\d)?\b", r"\b[HS]\d+(\.\d)?\b",
    r"\b\d{1,2}[LR]\b", r"\b[A-Z]\d?\b", r"(?<=phone⟧ )\w{4}\b", r"(?<=phone ⟧)\w{4}\b", r"^[A-HJ-NP-Z2-9]{6}$",
    r"^(mm|%|m/s|km/h)$", r"^\d{4}-\d\d-\d\dT[\d:.+]+$", r"(?<=\d)\s?(mm²?|m|kg|N|m/s|h|min|MB)\b")))


Page = beside.Page


class Robot:
    """Looks at every kind of page, presses every kind of button, and keeps what it could read of English."""

    def __init__(self, app, book, *, chief):
        self.app, self.phone, self.luck = app, app.test_client(), random.Random(2)
        self.read, self.looked, self.seen = {}, Counter(), set()
        self.theirs = re.compile("|".join(map(re.escape, sorted((*OURS, *_said(book)), key=len, reverse=True))))
        if chief:
            assert self.phone.post("/chief/enter", data={"phrase": PHRASE}).status_code == 303

    def walk(self):
        waiting = deque(WAYS_IN)
        while waiting:
            path = waiting.popleft()
            if path in self.seen or not self._wanted(path, "GET", PER_PAGE):
                continue
            self.seen.add(path)
            page = self.look(path, self.phone.get(path, follow_redirects=True))
            links = [link.split("#")[0] for link in page.links if link.startswith("/")]
            self.luck.shuffle(links)
            waiting += links
            for action, method, fields in page.forms:
                if method == "post":
                    self._press(action or path, fields)
                else:
                    waiting.append(f"{action}?{urlencode({name: self._one(*field) for name, field in fields.items()})}")
        return self

    def _press(self, action, fields):
        for _ in range(1 + max((len(values) for _, values in fields.values()), default=1)):
            if self._wanted(action, "POST", 2 * PER_PAGE):
                said = {name: self._one(*field) for name, field in fields.items()}
                said |= {"key": f"{self.luck.getrandbits(96):024x}"} if "key" in said else {}
                self.look(action, self.phone.post(action, data=said, follow_redirects=True))

    def _one(self, kind, values):
        if kind in ("text", "textarea", "search", "number"):
            return self.luck.choice((values[0], "λέξη", ""))
        return self.luck.choice(values)

    def _wanted(self, path, method, most):
        try:
            kind = self.app.url_map.bind("localhost").match(urlsplit(path).path, method=method)[0], method
        except HTTPException:
            kind = path
        self.looked[kind] += 1
        return self.looked[kind] <= most

    def look(self, path, answer):
        assert answer.status_code != 500, path
        page = Page(answer.text if answer.mimetype == "text/html" else "")
        self.judge(path, page.shown + _json_texts(answer.get_json() if answer.mimetype == "application/json" else None))
        return page

    def judge(self, path, texts):
        for text in texts:
            rest = NAMES.sub(" ", self.theirs.sub(" ", text))
            if re.search(r"[A-Za-z]|\d\.\d", rest) and not text.startswith(("http", "XX9", "XX⟦", "ZZ-")):
                self.read.setdefault(re.sub(r"\d+", "0", rest), (path, text))


def _json_texts(value, name=""):
    if isinstance(value, dict):
        return [text for key, inner in value.items() if key not in MACHINES for text in _json_texts(inner, key)]
    if isinstance(value, list):
        return [text for inner in value for text in _json_texts(inner, name)]
    return [value] if isinstance(value, str) and not re.fullmatch(r"[a-z_]+", value) else []


def _said(book):
    """What people wrote in the log themselves."""
    for entry in book.state.entries:
        named = ("words", "reason", "name", "by", "bundle")
        written = [entry.called, *(in_words(entry.told(name)) for name in named if entry.data.get(name)),
                   *(item.get("words") for item in entry.data.get("items", ()))]
        yield from (words for words in written if words)


@pytest.fixture(scope="module")
def marked():
    return beside.marked()


@pytest.fixture(autouse=True)
def _speak(marked, monkeypatch):
    monkeypatch.setattr(i18n, "_catalogue", lambda language: marked)


@pytest.fixture(scope="module")
def kits():
    """Kit and plan of the demo, of the smallest frame there is, and of that raised from the crown down."""
    design = orchard_hall()
    small = design.model_copy(update={"frame": design.frame.model_copy(update={
        "frequency": 1, "cut": "2/3", "level_base": False, "doorway": False, "diameter_m": 2.6})})
    lifting = small.model_copy(update={
        "raising": design.raising.model_copy(update={"way": "crown first", "accept_breaking": True}),
        "crew": design.crew.model_copy(update={"people": 30})})
    made = {"the demo": build_kit(design), "its own way": build_kit(small), "crown first": build_kit(lifting)}
    return {way: (kit, way_plans(kit, "ring by ring")[0] if way == "the demo" else plan_for(kit, None))
            for way, kit in made.items()}


@pytest.fixture
def site(kits, first_raise, tmp_path):
    """Call it for the pages of a kit with a past, or with so many steps of a raise."""
    made = []

    def make(way="its own way", *, past=False, steps=0, strike=False):
        kit, plan = kits[way]
        if past:
            shutil.copy(first_raise[1], tmp_path)
        book = SiteBook.open(kit, plan, tmp_path / "log.sqlite", checklist=default_checks(kit.design))
        app = create_app(book, clock=lambda: MORNING, photos=tmp_path / "photos",
                         held=Rights(chief_phrase=generate_password_hash(PHRASE, "pbkdf2:sha256:1000")))
        app.config[PATIENCE] = 250.0
        book.judge_starts(None)
        made.append((app, book))
        at_the_laptop(app)
        if steps == "lift":
            steps = next(step.number for step in plan.steps if step.lift_mm > 0.0) - 1
        _raise(app.test_client(), kit, [place for step in book.site.plan.steps[:steps] for place in places_of(step)],
               strike=strike)
        return app, book

    yield make
    for app, book in made:
        app.extensions[BESIDE].stop()
        book.close()


def _raise(phone, kit, places, *, strike):
    phone.post("/chief/enter", data={"phrase": PHRASE})
    if places:
        phone.post("/raise/start", data={"key": "s" * 22, "name": "Θέρος"})
    entries = [{"key": f"key-of-{place}-fitted", "kind": "fitted", "part": kit.by_place[place].id} for place in places]
    for first in range(0, len(entries), 200):
        answers = phone.post("/api/entries", json={"entries": entries[first:first + 200]}).json["answers"]
        assert all(answer["kept"] for answer in answers)
    if strike:
        assert phone.post("/raise/strike", data={"key": "t" * 22}).status_code == 303


STATES = {"before": {}, "with a past and an open round": {"way": "the demo", "past": True}, "half way": {"steps": 6},
          "lifting": {"way": "crown first", "steps": "lift"}, "striking": {"steps": 999, "strike": True}}


@pytest.mark.parametrize(("state", "whole"), [
    *((state, False) for state, how in STATES.items() if "past" not in how),
    *(pytest.param(state, True, marks=pytest.mark.thorough) for state in STATES)])
def test_no_page_shows_words_that_are_no_message(site, state, whole, request, monkeypatch):
    """In every run each kind of page of a small frame in each state; ways are listed before, losses begun.

    At length also of the demo with a past, with all ways and all losses of the small one.
    """
    if "past" in state or not (whole or state == "before"):
        monkeypatch.setattr(course, "_judged", lambda kit: ())
    if not whole or state != "before":      # the same in all states: worked out to its end in one
        request.getfixturevalue("few_losses")
    app, book = site(**STATES[state])
    robot = Robot(app, book, chief=state != "half way").walk()
    assert robot.read == {}
    assert sum(robot.looked.values()) > 100


def test_refusals_of_the_server_itself_are_messages(site, monkeypatch):
    app, book = site()
    app.config["PROPAGATE_EXCEPTIONS"] = False
    robot = Robot(app, book, chief=False)
    phone, pressed = robot.phone, {"key": "k" * 22}
    foreign = {"Origin": "http://elsewhere.example"}
    answers = [phone.post("/P/S013/fitted"), phone.post("/P/S013/fitted", data=pressed, headers=foreign),
               phone.get("/nowhere"), phone.put("/"), phone.post("/photo", data=b"x" * 20_000_000),
               phone.get("/", headers={"Host": "elsewhere.example"}), phone.get("/label/S013/labels.pdf?start=99"),
               phone.get("/log/none/withdraw"), phone.get("/answer/none"), phone.post("/bundle", data=pressed),
               phone.post("/P/S013/fitted", data=pressed, environ_overrides=STRANGER),
               phone.post("/scrap/H07", data=pressed, environ_overrides=STRANGER)]
    answers += [phone.post("/chief/enter", data={"phrase": "none"}) for _ in range(12)]
    answers += [phone.get("/laptop/none", environ_overrides=STRANGER), phone.get("/phones", environ_overrides=STRANGER)]
    monkeypatch.setattr(SiteBook, "submit", _fails)
    answers.append(phone.post("/damage/S013", data=pressed | {"what": "split"}))
    monkeypatch.setattr("fieldapp.web.parts.find.render_template", _trips)
    answers.append(phone.get("/find"))
    assert {answer.status_code for answer in answers} == {400, 403, 404, 405, 409, 413, 421, 422, 429, 500, 503}
    for answer in answers:
        robot.judge("", Page(answer.text).shown)
    assert robot.read == {}


def _fails(*_):
    raise StoreError("λέξη")


def _trips(*_, **__):
    raise RuntimeError("λέξη")


def test_the_robot_reads_what_is_no_message(site):
    robot = Robot(*site(), chief=False)
    robot.judge("/", Page('<p title="⟦Fetch ⟧H22">⟦Hold ⟧H22 for 1.5 m</p><p aria-label="Up">').shown)
    assert [text for _, text in robot.read.values()] == ["⟦Hold ⟧H22 for 1.5 m", "Up"]


def test_scripts_bring_no_words_of_their_own():
    static = Path(__file__).resolve().parents[2] / "static"
    words = re.compile(r"""["'`]([A-Z][a-z]+ [a-z][^"'`]*|[a-z]+ [a-z]+ [a-z]+[^"'`]*)["'`]""")
    shown = [(path.name, found[1]) for path in static.glob("*.js") for line in path.read_text().splitlines()
             for found in words.finditer(line) if "Error(" not in line and "use strict" not in line]
    assert shown == []
