"""Numbers as the language in use writes them: digits as Python rounds them, decimal sign and percent as Babel knows.

In English, the language of the sources, they are Python's own text. Thousands are never grouped: people compare these
numbers with scales, rulers and tables that do not group them either.
"""

from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from fieldapp.base.words import spoken

if TYPE_CHECKING:
    from babel import Locale

ENGLISH = "en"
DEGREES = "°"
"""The one unit that follows its number without a gap. A share is said by `percent`, as each language does."""


def decimal(value: float, places: int = 0, unit: str = "", *, plus: bool = False) -> str:
    """A number with a fixed count of decimals, and its unit; with `plus` a sign before one that is not below zero.

    Examples
    --------
    >>> decimal(12.345, 1, "mm"), decimal(1234.5), decimal(-0.001, 1, "°"), decimal(0.3, 1, plus=True)
    ('12.3 mm', '1234', '0.0°', '+0.3')
    """
    return _with_unit(_signed(_written(f"{value:z.{places}f}"), plus), unit)


def shortest(value: float, unit: str = "", *, digits: int = 6, plus: bool = False) -> str:
    """A number with no more decimals than it needs, to so many significant digits, and its unit.

    Examples
    --------
    >>> shortest(95.0, "mm"), shortest(0.5), shortest(2.4444, digits=2)
    ('95 mm', '0.5', '2.4')
    """
    return _with_unit(_signed(_written(f"{value:.{digits}g}"), plus), unit)


def percent(share: float, places: int = 0) -> str:
    """A share of one, in hundredths.

    Examples
    --------
    >>> percent(0.804), percent(0.0215, 1)
    ('80%', '2.1%')
    """
    text = f"{share:.{places}%}"
    locale = _locale()
    if locale is None or not _is_number(text[:-1]):
        return text
    from babel.numbers import format_percent  # only where another language than English is spoken

    pattern = locale.percent_formats[None].pattern.replace("#,##0", _pattern(text[:-1]))
    return _printable(format_percent(Decimal(text[:-1]) / 100, format=pattern, locale=locale))


def _written(text: str) -> str:
    """A number that Python wrote, with the decimal sign of the language in use."""
    locale = _locale()
    if locale is None or not _is_number(text):
        return text
    from babel.numbers import format_decimal  # as above

    return _printable(format_decimal(Decimal(text), format=_pattern(f"{Decimal(text):f}"), locale=locale))


def _signed(number: str, plus: bool) -> str:
    return f"+{number}" if plus and not number.startswith("-") else number


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{unit}" if unit in ("", DEGREES) else f"{number} {unit}"


def _is_number(text: str) -> bool:
    """False for infinity and for what is no number at all."""
    return Decimal(text).is_finite()


def _pattern(text: str) -> str:
    """The pattern that keeps as many decimals as the text has."""
    places = len(text.partition(".")[2])
    return "0." + "0" * places if places else "0"


def _printable(text: str) -> str:
    """With the wide gap that does not break, where a language has a narrow one: few fonts have that."""
    return text.replace("\u202f", "\u00a0")


def _locale() -> "Locale | None":
    """What Babel knows of the language in use; None for English."""
    catalogue = spoken()
    language = catalogue.info().get("language", ENGLISH) if catalogue else ENGLISH
    return None if language == ENGLISH else _known(language)


@lru_cache
def _known(language: str) -> "Locale":
    from babel import Locale

    return Locale.parse(language)
