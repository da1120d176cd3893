"""The demo's frame (frequency 3, 5/9, level base), an empty log for every test, and a phone that keeps cookies."""

import html
import io
import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import qrcode
import sqlalchemy
from at_the_laptop import at_the_laptop
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image, ImageDraw
from werkzeug.security import generate_password_hash
from werkzeug.test import TestResponse

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.plan.plan import Plan
from fieldapp.reports.raising import places_of
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.common.rights import Rights
from fieldapp.web.server import create_app

MORNING = datetime(2026, 9, 12, 10, 14, tzinfo=UTC)
LONG_S = 250.0


@pytest.fixture(autouse=True)
def _wait_for_no_disk() -> Iterator[None]:
    """Pages are looked at here; what a disk keeps is tested in `tests/faults` and `tests/log`.

    Around each test: it listens on every engine, and tests of other folders run in between on the same worker.
    """
    def loosely(connection: sqlalchemy.Connection) -> None:
        connection.exec_driver_sql("PRAGMA synchronous = OFF")

    sqlalchemy.event.listen(sqlalchemy.engine.Engine, "begin", loosely)
    yield
    sqlalchemy.event.remove(sqlalchemy.engine.Engine, "begin", loosely)


CHIEF_PHRASE = "apple cart long rope"
CHIEF_HASH = generate_password_hash(CHIEF_PHRASE, "pbkdf2:sha256:1000")

ORCHARD_HALL = Design.model_validate({
    "frame": {"name": "Orchard Hall", "prefix": "OH", "frequency": 3, "cut": "5/9", "diameter_m": 6.4},
    "strut": {"section": "rod", "material": "C24", "outer_mm": 35.0, "wall_mm": None},
    "crew": {"people": 12, "teams": 3},
    "spares": {"hubs_most_common": 1, "hubs_each_other": 1, "struts_each": 1}})


class Phone(FlaskClient):
    """A phone: keeps cookies, reads pages as words, presses buttons."""

    def words(self, where: str | TestResponse) -> str:
        """The text of a page without its tags and pictures, blanks joined."""
        response = self.get(where) if isinstance(where, str) else where
        page = re.sub(r"<svg.*?</svg>|<head>.*?</head>", " ", response.text, flags=re.DOTALL)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())

    def heading(self, where: str | TestResponse) -> str:
        """The first line of a page."""
        response = self.get(where) if isinstance(where, str) else where
        found = re.search(r"<h1>(.*?)</h1>", response.text, re.DOTALL)
        assert found, "the page has no heading"
        return html.unescape(found[1])

    def key(self, page: str) -> str:
        """The sender's key that a page brings along."""
        found = re.search(r'name="key" value="([^"]+)"', self.get(page).text)
        assert found, "the page has no form with a key"
        return found[1]

    def press(self, page: str, act: str, **fields: str) -> TestResponse:
        """Open a page and press one of its buttons."""
        return self.post(act, data={"key": self.key(page), **fields}, headers={"Origin": "http://localhost"})


@pytest.fixture(scope="session")
def kit() -> Kit:
    return build_kit(ORCHARD_HALL)


@pytest.fixture(scope="session")
def plan(kit: Kit) -> Plan:
    return level_order(kit.frame, kit.design)


@pytest.fixture
def book(kit: Kit, plan: Plan, tmp_path: Path) -> Iterator[SiteBook]:
    with SiteBook.open(kit, plan, tmp_path / "log.sqlite") as opened:
        yield opened


@pytest.fixture
def app(book: SiteBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Flask]:
    """The pages, with patience for what is computed beside them: no answer depends on how busy this machine is."""
    monkeypatch.setattr("fieldapp.web.readiness.ready.SHEET_PATIENCE_S", LONG_S)
    monkeypatch.setattr("fieldapp.web.raising.course.CHOICE_PATIENCE_S", LONG_S)
    made = create_app(book, clock=lambda: MORNING, held=Rights(chief_phrase=CHIEF_HASH), photos=tmp_path / "photos")
    book.judge_starts(None)     # long to work out; `tests/web/readiness/test_start.py` starts a raise that is judged
    made.config[PATIENCE] = LONG_S
    made.testing = False
    made.config["PROPAGATE_EXCEPTIONS"] = False      # so that a fault shows as the page that people would see
    made.test_client_class = Phone
    yield at_the_laptop(made)
    made.extensions[BESIDE].stop()


@pytest.fixture
def phone(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def other_phone(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def chief(app: Flask) -> FlaskClient:
    """A phone that gave the pass phrase."""
    made = app.test_client()
    assert made.post("/chief/enter", data={"phrase": CHIEF_PHRASE}).status_code == 303
    return made


@pytest.fixture
def raised(app: Flask, kit: Kit, plan: Plan) -> Callable[[int], None]:
    """Fits the first steps of the plan, each place with the part made for it."""
    other = app.test_client()

    def fit(steps: int) -> None:
        places = [place for step in plan.steps[:steps] for place in places_of(step)]
        entries = [{"key": f"key-of-{place}-fitted", "kind": "fitted", "part": kit.by_place[place].id}
                   for place in places]
        for first in range(0, len(entries), 200):
            answers = other.post("/api/entries", json={"entries": entries[first:first + 200]}).json["answers"]
            assert [answer["message"] for answer in answers if not answer["kept"]] == []

    return fit


@pytest.fixture(scope="session")
def label() -> Callable[..., Image.Image]:
    """Draws a white label on brown ground, its symbol by an encoder that is not ours."""

    def draw(text: str, *, module_px: int = 8, size: tuple[int, int] = (900, 600)) -> Image.Image:
        code = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M, box_size=module_px, border=4)
        code.add_data(text)
        symbol = code.make_image().get_image().convert("RGB")
        picture = Image.new("RGB", size, (120, 90, 60))
        left, top = (size[0] - symbol.width) // 2, (size[1] - symbol.height) // 2
        box = (left - 20, top - 20, left + symbol.width + 20, top + symbol.height + 20)
        ImageDraw.Draw(picture).rectangle(box, fill="white")
        picture.paste(symbol, (left, top))
        return picture

    return draw


@pytest.fixture(scope="session")
def as_jpeg() -> Callable[[Image.Image], bytes]:
    """A picture as a phone would send it."""

    def encode(picture: Image.Image) -> bytes:
        out = io.BytesIO()
        picture.convert("RGB").save(out, "JPEG", quality=85)
        return out.getvalue()

    return encode
