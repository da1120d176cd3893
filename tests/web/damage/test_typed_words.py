"""Words that people typed are never changed: whatever a message of ours says, typed into a note it stays as typed."""

import html

import pytest
from catalogues import read

from fieldapp.base.said import in_words
from fieldapp.base.words import LANGUAGE_NAMES, catalogue, speaking
from fieldapp.wording.log import entry_words

BATCH = 200
LONGEST = 2000


def _messages():
    """Every message of the catalogues, as somebody might type it: on one line."""
    forms = [form for message in read("nl") if message.id
             for form in ([message.id] if isinstance(message.id, str) else message.id)]
    return list(dict.fromkeys(form.strip().replace("\n", " ") for form in forms if len(form) <= LONGEST))


@pytest.fixture(params=[7, pytest.param(1, marks=pytest.mark.thorough)])
def noted(phone, book, kit, request):
    """A hub with a note of damage for each message; for every seventh in every run."""
    part, messages = kit.by_place["H22"].id, _messages()[::request.param]
    assert len(messages) > 1500 / request.param
    wishes = [{"key": f"note-{number:012d}", "kind": "damaged", "part": part,
               "data": {"what": "soaked", "severity": "slight", "words": words}}
              for number, words in enumerate(messages)]
    for first in range(0, len(wishes), BATCH):
        answers = phone.post("/api/entries", json={"entries": wishes[first:first + BATCH]}).json["answers"]
        assert all(answer["kept"] for answer in answers)
    return part, messages


def test_every_message_typed_into_a_note_comes_back_as_it_was_typed_in_every_language(phone, book, noted):
    part, messages = noted
    defects = book.state.parts[part].defects
    assert len(messages) == len(defects)
    for language in LANGUAGE_NAMES:
        with speaking(catalogue(language)):
            first, *told = (in_words(defect.words) for defect in defects)
        before = first.removesuffix(messages[0])
        assert told == [before + words for words in messages[1:]]
        page = html.unescape(phone.get(f"/P/{part}", headers={"Accept-Language": language}).text)
        assert [words for words in messages if before + words not in page] == []


@pytest.mark.thorough
def test_names_and_reasons_come_back_as_they_were_typed(phone, book, kit):
    part, messages = kit.by_place["H22"].id, [words for words in _messages() if len(words) <= 24][::10]
    for number, words in enumerate(messages):
        key, who = f"note-{number:012d}", {"who": words, "part": part}
        wishes = [{"key": key, "kind": "damaged", "data": {"what": "soaked"}, **who},
                  {"key": f"{key}-back", "kind": "withdrawn", "data": {"entry": key, "reason": words}, **who}]
        assert all(answer["kept"] for answer in phone.post("/api/entries", json={"entries": wishes}).json["answers"])
    for language in LANGUAGE_NAMES:
        with speaking(catalogue(language)):
            told = [entry_words(entry, book.state) for entry in book.state.entries if entry.kind == "withdrawn"]
        assert all(line.endswith(words) for line, words in zip(told, messages, strict=True))
        assert len({line.removesuffix(words) for line, words in zip(told, messages, strict=True)}) == 1
        seen = html.unescape("".join(phone.get(f"/log?skip={skip}", headers={"Accept-Language": language}).text
                                     for skip in range(0, 2 * len(messages), 50)))
        assert [words for line, words in zip(told, messages, strict=True)
                if line not in seen or f"· {words}</span>" not in seen] == []
