"""Five languages: complete, with the same gaps as the English, chosen by the phone or on it, down to refusals."""

import re

import catalogues
import pytest
from babel.messages.mofile import read_mo
from flask.testing import FlaskClient
from small_frame import small_design

from fieldapp.base.said import in_words
from fieldapp.base.words import catalogue, speaking
from fieldapp.kit import build_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.opening import plan_for
from fieldapp.plan.plan import Plan
from fieldapp.web.common import i18n

LANGUAGES = [code for code in i18n.LANGUAGE_NAMES if code != "en"]


@pytest.fixture(scope="module")
def sources():
    return catalogues.collected()


def _forms(text):
    return [text] if isinstance(text, str) else list(text)


def _gaps(text):
    return sorted(re.findall(r"\{[^{}]*\}|%\(\w+\)s|%%", text))


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_string_is_missing_and_none_is_left_over(language, sources):
    held = catalogues.read(language)
    wanted, there = ({str(m.id) for m in c if m.id} for c in (sources, held))
    assert there - wanted == set(), "run: python tests/catalogues.py"
    assert wanted - there == set(), "run: python tests/catalogues.py, then fill in the new strings"
    assert catalogues.missing(held) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_gaps_agree_with_the_english(language):
    wrong = [(given, told) for message in catalogues.read(language) if message.id
             for given, told in zip(_forms(message.id), _forms(message.string), strict=True)
             if told and _gaps(given) != _gaps(told)]
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_read_is_what_is_written(language):
    """By meaning: in the bytes stands which version of Babel compiled them, and how it breaks lines."""
    written = catalogues.read(language)
    with catalogues.po_path(language).with_suffix(".mo").open("rb") as file:
        read = read_mo(file)
    there, wanted = ({tuple(_forms(m.id)): _forms(m.string) for m in c if m.id} for c in (read, written))
    assert there == wanted, "run: python tests/catalogues.py"
    assert read.plural_forms == written.plural_forms
    kept = catalogues.po_path(language).read_text(encoding="utf-8")
    assert [head for head in catalogues.LEFT_OUT if head in kept] == []


def test_the_check_can_fail():
    held = catalogues.read("de")
    first = next(message for message in held if message.id == "Fitted")
    first.string = ""
    assert catalogues.missing(held) == ["Fitted"]
    assert _gaps("{a} of %(b)s") != _gaps("{a} von %(c)s")


@pytest.mark.parametrize(("asked", "heading"), [
    ("nl-BE,nl;q=0.9,en;q=0.5", "Welk onderdeel heb je in je hand?"),
    ("de-AT", "Welches Teil hast du in der Hand?"), ("fr", "Quelle pièce avez-vous en main ?"),
    ("es-MX,es;q=0.8", "¿Qué pieza tienes en la mano?"), ("pt-BR", "Which part is in your hand?"),
    ("", "Which part is in your hand?"),
])
def test_the_phone_chooses_the_language(phone: FlaskClient, asked: str, heading: str) -> None:
    answer = phone.get("/find", headers={"Accept-Language": asked})
    assert phone.heading(answer) == heading


def test_a_language_chosen_on_the_phone_stays_and_can_be_given_back(phone: FlaskClient) -> None:
    dutch = {"Accept-Language": "nl"}
    phone.post("/language", data={"language": "fr"})
    assert phone.heading(phone.get("/find", headers=dutch)) == "Quelle pièce avez-vous en main ?"
    phone.post("/language", data={"language": ""})
    assert phone.heading(phone.get("/find", headers=dutch)) == "Welk onderdeel heb je in je hand?"
    phone.post("/language", data={"language": "xx"})
    assert phone.get("/find", headers=dutch).status_code == 200


def test_a_refusal_speaks_the_readers_language(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    hub = plan.steps[0].hub
    part = kit.by_place[hub].id
    for key in ("a" * 22, "b" * 22):
        answer = phone.post(f"/P/{part}/fitted", data={"key": key}, headers={"Accept-Language": "de"})
    assert answer.status_code == 409
    assert f"{hub} ist schon eingebaut (" in phone.words(answer)
    said = phone.post("/api/entries", json={"entries": [{"key": "c" * 22, "kind": "scrapped", "part": part}]},
                      headers={"Accept-Language": "fr"}).json["answers"][0]
    assert said["kept"] is False
    assert "{" not in said["message"]


def test_an_unknown_id_and_a_phone_that_did_not_join_are_answered_in_the_readers_language(phone: FlaskClient) -> None:
    assert "no es una pieza de este kit" in phone.words(phone.get("/P/S703", headers={"Accept-Language": "es"}))
    refused = phone.post("/P/S073/fitted", data={"key": "k" * 22}, headers={"Accept-Language": "nl"},
                         environ_overrides={"REMOTE_ADDR": "10.0.0.9"})
    assert phone.heading(refused) == "Deze telefoon mag alleen lezen. Doe mee om iets op te schrijven."


def test_a_kept_sentence_is_told_in_the_language_of_whoever_reads_it() -> None:
    plan = plan_for(build_kit(small_design()), None)
    kept = [said for step in plan.steps for said in (step.stand_on, *step.cautions)]
    told = {}
    for language in ("en", *LANGUAGES):
        with speaking(catalogue(language)):
            told[language] = list(map(in_words, kept))
    assert told["en"][0] == "the ground"
    assert all(len(set(tellings)) == len(told) for tellings in zip(*told.values(), strict=True))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_page_is_served_in_every_language(phone: FlaskClient, language: str) -> None:
    for path in ("/", "/find", "/log", "/me", "/join", "/joined", "/live", "/ring/1", "/place/H22", "/P/S073.2",
                 "/damage/H22", "/pocket", "/chief", "/raise", "/P/XX9"):
        answer = phone.get(path, headers={"Accept-Language": language})
        assert answer.status_code in (200, 404), path
        assert f'<html lang="{language}"' in answer.text
