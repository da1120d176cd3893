"""Words in the reader's language: gettext from the standard library, one language a request.

English is the language of the sources; catalogues, where they exist, are found under `locale/`.
"""

import gettext
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment

LOCALE_DIR = Path(__file__).parent / "locale"

_current: ContextVar[gettext.NullTranslations | None] = ContextVar("translations", default=None)


@lru_cache
def _catalogue(language: str) -> gettext.NullTranslations:
    return gettext.translation("raisebook", LOCALE_DIR, languages=[language], fallback=True)


@lru_cache
def languages() -> tuple[str, ...]:
    """Codes of the languages that pages can be read in, English first."""
    found = sorted(path.parent.parent.name for path in LOCALE_DIR.glob("*/LC_MESSAGES/raisebook.mo"))
    return ("en", *(code for code in found if code != "en"))


def use_language(language: str) -> None:
    """Speak `language` until told otherwise; an unknown one falls back to English."""
    _current.set(_catalogue(language))


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


def install(environment: Environment) -> None:
    """Give templates `_` and `ngettext`."""
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_callables(_, ngettext, newstyle=True)  # type: ignore[attr-defined]
