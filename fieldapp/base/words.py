"""Sentences of answers in the reader's language: a hook that whoever serves the page fills.

Answers are kept without words and put into words when they are read, since two phones may read the
same answer in two languages. Without a hook the sentences stay as the sources have them: English.
"""

import gettext
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

_current: ContextVar[gettext.NullTranslations | None] = ContextVar("words", default=None)


def speak(catalogue: gettext.NullTranslations | None) -> None:
    """Take sentences from this catalogue until told otherwise; None: as the sources have them."""
    _current.set(catalogue)


def spoken() -> gettext.NullTranslations | None:
    """The catalogue in use, to keep apart what was made in different languages."""
    return _current.get()


def _(message: str) -> str:
    """`message` in the language in use."""
    catalogue = _current.get()
    return catalogue.gettext(message) if catalogue else message


def ngettext(singular: str, plural: str, n: int) -> str:
    """The form of the message that fits `n`, in the language in use."""
    catalogue = _current.get()
    if catalogue:
        return catalogue.ngettext(singular, plural, n)
    return singular if n == 1 else plural


@contextmanager
def speaking(catalogue: gettext.NullTranslations | None) -> Iterator[None]:
    """While inside, take sentences from this catalogue; None: as the sources have them."""
    token = _current.set(catalogue)
    try:
        yield
    finally:
        _current.reset(token)


@contextmanager
def as_written() -> Iterator[None]:
    """While inside, sentences stay as the sources have them: for words that are kept and put into words later."""
    with speaking(None):
        yield


def marked(message: str) -> str:
    """The message itself, marked for the catalogues; it is translated where it is shown."""
    return message


def figures(text: str) -> str:
    """The numbers in a text as the language in use writes them: with its decimal sign, and its gap before a %.

    Examples
    --------
    >>> figures("12.5 mm, 80%")
    '12.5 mm, 80%'
    """
    if _current.get() is None:
        return text
    return _PERCENT.sub(_("50%")[2:], _POINT.sub(_("1.5")[1:2], text))


_POINT = re.compile(r"(?<=[0-9])[.](?=[0-9])")
_PERCENT = re.compile(r"(?<=[0-9])%")
_NUMBER = re.compile(r"-?[0-9]+([.][0-9]+)?%?( (N|mm|m|m/s|kg|°|%))?")

OWN_WORDS = "words"
"""Name of the gap for what people wrote themselves: it stays as it is."""
PART_ID = "id"
"""Name of the gap that only a part ID, or a place, fits into."""


class Phrasebook:
    """Sentences that are kept in English with their names and numbers filled in, put into words when read.

    A plan or a log keeps such sentences as text. A phrase is a template with named gaps; a text that fits one is
    told again in the language in use, its gaps too.

    Examples
    --------
    >>> Phrasebook(("Hold {hubs} now.",)).retold("Hold H31 now.")
    'Hold H31 now.'
    """

    def __init__(self, phrases: Sequence[str]) -> None:
        plain = [phrase for phrase in phrases if _gap(OWN_WORDS) not in phrase]
        own = [phrase for phrase in phrases if _gap(OWN_WORDS) in phrase]
        self._phrases, self._with_own_words = _most_said_first(plain), _most_said_first(own)

    def retold(self, text: str) -> str:
        """The text in the language in use; what fits no phrase stays as it is."""
        if not text or _current.get() is None:
            return text
        if _NUMBER.fullmatch(text):
            return figures(text)
        told = _(text)
        if told != text:
            return told
        return (self._by_sentences(text) or self._by_phrase(text, self._phrases) or self._by_pieces(text, "; ")
                or self._by_phrase(text, self._with_own_words) or self._by_pieces(text, ", ") or text)

    def knows(self, text: str) -> bool:
        """True if the text as a whole fits a phrase."""
        return any(pattern.fullmatch(text) for _phrase, pattern in (*self._phrases, *self._with_own_words))

    def _by_phrase(self, text: str, phrases: "Sequence[_Phrase]") -> str:
        """Empty if the text as a whole fits none."""
        for phrase, pattern in phrases:
            if found := pattern.fullmatch(text):
                return _(phrase).format(**{gap: said if gap in (OWN_WORDS, PART_ID) else self.retold(said)
                                           for gap, said in found.groupdict().items()})
        return ""

    def _by_pieces(self, text: str, between: str) -> str:
        """Empty if the text is of one piece."""
        pieces = text.split(between)
        return between.join(map(self.retold, pieces)) if len(pieces) > 1 else ""

    def _by_sentences(self, text: str) -> str:
        sentences = _SENTENCE_ENDS.split(text)
        return " ".join(map(self.retold, sentences)) if len(sentences) > 1 else ""


_Phrase = tuple[str, re.Pattern[str]]
_SENTENCE_ENDS = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")


def _pattern(phrase: str) -> re.Pattern[str]:
    """The phrase with each gap standing for any words."""
    pieces = _GAPS.split(phrase)
    return re.compile("".join(f"(?P<{piece}>{_ONE_ID if piece == PART_ID else '.+?'})" if odd % 2 else re.escape(piece)
                              for odd, piece in enumerate(pieces)), re.DOTALL)


_GAPS = re.compile(r"\{(\w+)\}")
_ONE_ID = r"(?:[A-Z]{2,3}-)?[HS][0-9]+(?:-[0-9A-Z])?"


def _gap(name: str) -> str:
    return "{" + name + "}"


def _most_said_first(phrases: Sequence[str]) -> "tuple[_Phrase, ...]":
    """Those that leave least open before the others."""
    ordered = sorted(phrases, key=lambda phrase: len(_GAPS.sub("", phrase)), reverse=True)
    return tuple((phrase, _pattern(phrase)) for phrase in ordered)


def listed(names: Sequence[str], most: int = 6) -> str:
    """Names in a row, as people say them; beyond `most` the rest is counted.

    Examples
    --------
    >>> listed(["H31"]), listed(["H31", "H32"]), listed(["H31", "H32", "H33"], most=2)
    ('H31', 'H31 and H32', 'H31, H32 and 1 more')
    """
    if len(names) > most:
        return _("{names} and {n} more").format(names=", ".join(names[:most]), n=len(names) - most)
    if len(names) < 2:
        return "".join(names)
    return _("{names} and {last}").format(names=", ".join(names[:-1]), last=names[-1])
