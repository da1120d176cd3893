"""Words in the reader's language: gettext from the standard library, one language a request.

English is the language of the sources; catalogues are found under `locale/` and made by `tests/catalogues.py`.
Rooms below the web take their sentences through `base.words`, which is told the same catalogue.
"""

from functools import lru_cache

from jinja2 import Environment

from fieldapp.base import words
from fieldapp.base.said import in_words
from fieldapp.base.words import LANGUAGE_NAMES, LOCALE_DIR, _, ngettext
from fieldapp.base.words import catalogue as _catalogue
from fieldapp.plan.ways import named

__all__ = ["LANGUAGE_NAMES", "LOCALE_DIR", "_", "in_words", "install", "languages", "ngettext", "use_language"]

@lru_cache
def languages() -> tuple[str, ...]:
    """Codes of the languages that pages can be read in, English first."""
    return ("en", *(code for code in LANGUAGE_NAMES
                    if (LOCALE_DIR / code / "LC_MESSAGES" / "raisebook.mo").is_file()))


def use_language(language: str) -> None:
    """Speak `language` until told otherwise; an unknown one falls back to English."""
    words.speak(_catalogue(language))


def install(environment: Environment) -> None:
    """Give templates `_`, `ngettext`, and what puts into words what is said of log and plan."""
    environment.globals.update(in_words=in_words, way_words=lambda name: in_words(named(name)))
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_callables(_, ngettext, newstyle=True)  # type: ignore[attr-defined]
