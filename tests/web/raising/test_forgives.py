"""The page of what the whole frame forgives: answers first, nothing told before it is worked out, its sheet."""

import io
import threading
from collections.abc import Iterator

import pypdfium2
import pytest
from flask import Flask
from flask.testing import FlaskClient

from fieldapp.frame.template import STARTER
from fieldapp.kit import build_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.web.common.context import PATIENCE
from fieldapp.web.common.pieces import growing
from fieldapp.web.server import create_app

LONG_S = 100.0


@pytest.fixture
def small(tmp_path, app: Flask) -> Iterator[Flask]:
    """The pages of a first frame."""
    kit = build_kit(STARTER)
    with SiteBook.open(kit, level_order(kit.frame, kit.design), tmp_path / "small.sqlite") as book:
        made = create_app(book, photos=tmp_path / "small-photos")
        made.config[PATIENCE] = LONG_S
        made.test_client_class = app.test_client_class
        yield made


def _whole(client: FlaskClient) -> str:
    """The page once all is worked out."""
    for _ in range(200):
        page = client.words("/forgives")
        if "being computed" not in page:
            return page
        threading.Event().wait(0.05)
    raise AssertionError("it never ends")


def test_the_page_says_who_may_hang_and_what_may_be_lost(small: Flask) -> None:
    phone = small.test_client()
    first = phone.words("/forgives")
    assert phone.heading("/forgives") == "What does the whole frame forgive?"
    assert "Nobody may hang from it" in first                      # known at once
    whole = _whole(phone)
    assert whole.index("Nobody may hang from it") < whole.index("No ladder may lean on it")
    assert "Any one strut may be lost: the rest stands" in whole
    assert "Nobody hangs or climbs, and no ladder leans, unless it says so here" in whole
    assert "do not replace a competent person" in whole
    sheet = phone.get("/forgives.pdf")
    text = "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(io.BytesIO(sheet.data)))
    assert "Nobody may hang from it" in text
    assert "Any one hub may be lost: the rest stands" in text.replace("\r\n", " ")


def test_what_is_not_worked_out_is_said_and_no_sheet_is_printed_of_it(small: Flask, monkeypatch) -> None:
    monkeypatch.setattr("fieldapp.web.common.pieces.PIECE_S", 0.0)     # one step a piece
    gate = threading.Event()
    real = growing

    def slowly(subject, question, steps, *, patience_s):
        def held():
            iterator = steps()
            yield next(iterator)
            assert gate.wait(LONG_S)
            yield from iterator
        return real(subject, question, held, patience_s=patience_s)

    monkeypatch.setattr("fieldapp.web.raising.forgives.growing", slowly)
    phone = small.test_client()
    page = phone.words("/forgives")
    assert "The loss of 91 parts is still to be worked out: until then count on nothing." in page
    assert "may be lost" not in page
    assert phone.get("/forgives.pdf").status_code == 404
    gate.set()
    assert "Any one strut may be lost" in _whole(phone)


def test_the_chief_finds_it(small: Flask) -> None:
    assert 'href="/forgives"' in small.test_client().get("/raise").text


def test_other_questions_come_in_between(small: Flask) -> None:
    from fieldapp.web.common.beside import beside

    done, asked = [], threading.Event()

    def steps():
        for number in range(3):
            done.append(number)
            asked.wait(LONG_S)
            yield number

    with small.test_request_context():
        small.preprocess_request()
        pytest.MonkeyPatch().setattr("fieldapp.web.common.pieces.PIECE_S", 0.0)
        assert growing("count", 1, steps, patience_s=0.01) is None
        other = beside().begun("other", 1, lambda: len(done))
        asked.set()
        assert other.result(LONG_S) == 1                           # after one piece, not after all
