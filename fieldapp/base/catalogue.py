"""The catalogues of translated words: which there are, and speaking one of them for a while."""

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path

from fieldapp.base.words import speaking

LOCALE_DIR = Path(__file__).parent.parent / "web" / "locale"

LANGUAGE_NAMES = {"en": "English", "nl": "Nederlands", "de": "Deutsch", "fr": "Français", "es": "Español"}
"""Code → the language's own name, as people look for it."""


@lru_cache
def catalogue(language: str) -> gettext.NullTranslations:
    """The words of a language; those of the sources, English, where it has none."""
    return gettext.translation("raisebook", LOCALE_DIR, languages=[language], fallback=True)


@contextmanager
def printed_in(language: str) -> Iterator[None]:
    """While inside, sentences are made in this language, whichever was in use before."""
    with speaking(None if language == "en" else catalogue(language)):
        yield
