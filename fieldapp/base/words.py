"""Sentences of answers in the reader's language: a hook that whoever serves the page fills.

Answers are kept without words (see `base.said`) and put into words when they are read, since two phones may read the
same answer in two languages. Without a hook the sentences stay as the sources have them: English.
"""

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path

_current: ContextVar[gettext.NullTranslations | None] = ContextVar("words", default=None)

LOCALE_DIR = Path(__file__).parent.parent / "web" / "locale"
LANGUAGE_NAMES = {"en": "English", "nl": "Nederlands", "de": "Deutsch", "fr": "Français", "es": "Español"}
"""Code → the language's own name, as people look for it."""


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


def marked(message: str) -> str:
    """The message itself, marked for the catalogues; it is translated where it is shown."""
    return message


@lru_cache
def catalogue(language: str) -> gettext.NullTranslations:
    """The words of a language; those of the sources, English, where it has none."""
    return gettext.translation("raisebook", LOCALE_DIR, languages=[language], fallback=True)


@contextmanager
def printed_in(language: str) -> Iterator[None]:
    """While inside, sentences are made in this language, whichever was in use before."""
    with speaking(None if language == "en" else catalogue(language)):
        yield
