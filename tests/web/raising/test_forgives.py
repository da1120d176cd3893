"""The page of what the whole frame forgives: answers first, nothing told before it is worked out, its sheet."""

import io
import math
import threading
from collections.abc import Iterator
from dataclasses import replace

import pypdfium2
import pytest
from flask import Flask
from flask.testing import FlaskClient

from fieldapp.plan.forgives.record import HANG, LADDER, Forgives, Lost
from fieldapp.statics.limits import Governs, Limit
from fieldapp.web.common.pieces import growing

LONG_S = 100.0


def _known() -> Forgives:
    """Nobody may hang, no ladder lean; one strut must not be lost."""
    hubs = [f"H{number}" for number in range(16, 48)]
    hang = tuple(Limit(HANG, 300.0, hub, Governs("tube", "S058")) for hub in hubs)
    lost = tuple(Lost(f"S00{number}", number > 1, 0.5 if number > 1 else math.inf, moves=("H31",),
                      push=Limit("push", 120.0, "H31", Governs("arm", "S091", "H32")) if number > 1 else None)
                 for number in (1, 2))
    return Forgives(hang, tuple(replace(limit, kind=LADDER, value=83.0) for limit in hang), Lost("", True, 0.1), lost,
                    (Lost("H16", True, 0.2),))


@pytest.fixture
def gate(monkeypatch) -> threading.Event:
    """Holds back all but what is known first."""
    opened, known = threading.Event(), _known()

    def steps(_kit, _plan) -> Iterator[Forgives]:
        yield replace(known, hang=(), ladder=(), struts=(), hubs=(), to_do=91)
        yield replace(known, struts=(), hubs=(), to_do=91)
        assert opened.wait(LONG_S)
        yield known

    monkeypatch.setattr("fieldapp.web.raising.forgives._steps", steps)
    return opened


def _until(client: FlaskClient, words: str) -> str:
    """The page once it says something."""
    for _ in range(400):
        page = client.words("/forgives")
        if words in page:
            return page
        threading.Event().wait(0.02)
    raise AssertionError(f"it never says {words}")


def test_the_page_says_who_may_hang_and_what_may_be_lost(phone: FlaskClient, gate: threading.Event) -> None:
    gate.set()
    page = _until(phone, "must not be lost")
    assert phone.heading("/forgives") == "What does the whole frame forgive?"
    assert page.index("Nobody may hang from it") < page.index("No ladder may lean on it")
    assert "The weakest is H16: it bears 300 N, then the tube of S058 folds first." in page
    assert "1 strut of 2 must not be lost: it falls or breaks without it" in page
    assert "Whichever other is lost: push no hub with more than 120 N. That is without S002, at H31: the arm of" in page
    assert "Without any one hub the rest stands: keep off it until that is mended" in page
    assert "Nobody hangs or climbs, and no ladder leans, unless it says so here" in page
    assert "do not replace a competent person" in page
    sheet = phone.get("/forgives.pdf")
    text = "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(io.BytesIO(sheet.data)))
    assert "Nobody may hang from it" in text
    assert "Without any one hub the rest stands: keep off it until that is mended" in text.replace("\r\n", " ")


def test_what_is_not_worked_out_is_said_and_no_sheet_is_printed_of_it(phone: FlaskClient, gate: threading.Event,
                                                                      monkeypatch) -> None:
    monkeypatch.setattr("fieldapp.web.common.pieces.PIECE_S", 0.0)     # one step a piece
    page = phone.words("/forgives")
    assert "The loss of 91 parts is still to be worked out: until then count on nothing." in page
    assert "may be lost" not in page
    assert phone.get("/forgives.pdf").status_code == 404
    gate.set()
    _until(phone, "must not be lost")


def test_the_chief_finds_it(chief: FlaskClient) -> None:
    assert 'href="/forgives"' in chief.get("/raise").text


def test_other_questions_come_in_between(app: Flask, monkeypatch) -> None:
    from fieldapp.web.common.beside import beside

    done, asked = [], threading.Event()

    def steps():
        for number in range(3):
            done.append(number)
            asked.wait(LONG_S)
            yield number

    with app.test_request_context():
        app.preprocess_request()
        monkeypatch.setattr("fieldapp.web.common.pieces.PIECE_S", 0.0)
        assert growing("count", 1, steps, patience_s=0.01) is None
        other = beside().begun("other", 1, lambda: len(done))
        asked.set()
        assert other.result(LONG_S) == 1                           # after one piece, not after all
