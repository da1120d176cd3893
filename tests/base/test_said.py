"""What is said, as a record: in words at the edge only, the same through JSON, typed words untouched."""

import ast
import gettext
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trees import tree

from fieldapp.base.said import Number, Row, Said, Share, from_plain, in_words, plain, row, say, say_n
from fieldapp.base.words import speaking

SOURCES = Path(__file__).resolve().parents[2] / "fieldapp"


class Shouting(gettext.NullTranslations):
    """A language in which every message is in capitals, gaps and all but their names."""

    def gettext(self, message):
        return message.upper().replace("{HUB}", "{hub}").replace("{N}", "{n}").replace("{WORDS}", "{words}")

    def ngettext(self, singular, plural, n):
        return self.gettext(singular if n == 1 else plural)


def test_a_sentence_is_spoken_in_the_language_in_use_and_typed_words_in_none():
    said = say("{hub} is {words}", hub=say("hub"), words="fitted, and hub")
    assert in_words(said) == "hub is fitted, and hub"
    with speaking(Shouting()):
        assert in_words(said) == "HUB IS fitted, and hub"
        assert in_words("fitted, and hub") == "fitted, and hub"
        assert in_words(say_n("{n} hub", "{n} hubs", 2)) == "2 HUBS"


def test_rows_are_said_as_people_say_them():
    assert in_words(row(["H1", "H2", "H3"])) == "H1, H2 and H3"
    assert in_words(row(["H1", "H2", "H3"], most=2)) == "H1, H2 and 1 more"
    assert in_words(Row(("H1", say("{n} mm", n=Number(2.5, 1))), between="; ")) == "H1; 2.5 mm"
    assert in_words(row([])) == ""


def test_turned_into_text_by_accident_it_says_so():
    for said in (say("hub"), Number(1.0), Share(0.5), row(["H1"])):
        with pytest.raises(TypeError, match="is not in words yet; ask in_words for them, at the edge"):
            f"{said}"


_LEAVES = st.one_of(
    st.text(), st.integers(), st.builds(Share, st.floats(allow_nan=False), st.integers(0, 2)),
    st.builds(Number, st.floats(allow_nan=False), st.integers(0, 3) | st.none(), st.sampled_from(("", "mm", "°"))))
_VALUES = st.recursive(_LEAVES, lambda inner: st.one_of(
    st.builds(lambda value: say("{a} and more", a=value), inner),
    st.builds(lambda n, value: say_n("{n} {a}", "{n} of {a}", n, a=value), st.integers(0, 9), inner),
    st.builds(lambda items, last, most: Row(tuple(items), "; ", last, most), st.lists(inner, max_size=4),
              st.booleans(), st.none() | st.integers(1, 3))), max_leaves=8)


@given(_VALUES)
def test_it_comes_back_from_json_as_it_was(value):
    assert from_plain(json.loads(json.dumps(plain(value)))) == value


@pytest.mark.parametrize("kept", [
    None, True, 1.5, [], {}, {"say": 3}, {"say": "{hub}", "with": {"strut": "S1"}}, {"say": "a", "more": 1},
    {"say": "{x.__class__}", "with": {"x": "y"}}, {"row": "H1"}, {"number": "1"}, {"share": 1.0}])
def test_anything_else_is_refused(kept):
    with pytest.raises(ValueError):
        from_plain(kept)


def test_a_record_can_be_compared_and_kept_in_sets():
    assert len({say("hub"), say("hub"), Said("hub"), say("strut")}) == 2


MESSAGES = {"say": (0,), "say_n": (0, 1), "ngettext": (0, 1), "marked": (0,), "refuse": (1, 2), "_": (0,)}
"""Which arguments of a call are messages of the catalogues."""
OF_RECORDS = ("say", "_")
"""These may also take a message that a record of ours holds, where it is marked."""


def test_a_message_stands_in_the_sources_as_one_text():
    """What is put together out of pieces, or comes from a call, no catalogue can hold."""
    wrong = [f"{path.relative_to(SOURCES)}:{call.lineno}" for path in sorted(SOURCES.rglob("*.py"))
             if path.name != "said.py" for call in ast.walk(tree(path.read_text(encoding="utf-8")))
             if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)
             for place in MESSAGES.get(call.func.id, ())
             for message in call.args[place:place + 1] if not _stands(call.func.id, message)]
    assert wrong == []


def _stands(name, message):
    if isinstance(message, ast.Constant):
        return isinstance(message.value, str)
    return name in OF_RECORDS and isinstance(message, ast.Name | ast.Attribute | ast.Subscript)
