"""How many, with the noun."""

from fieldapp.base.words import ngettext


def hubs_words(n: int) -> str:
    """"3 hubs"."""
    return ngettext("{n} hub", "{n} hubs", n).format(n=n)


def struts_words(n: int) -> str:
    """"3 struts"."""
    return ngettext("{n} strut", "{n} struts", n).format(n=n)


def parts_words(n: int) -> str:
    """"3 parts"."""
    return ngettext("{n} part", "{n} parts", n).format(n=n)


def spares_words(n: int) -> str:
    """"3 spares"."""
    return ngettext("{n} spare", "{n} spares", n).format(n=n)


def steps_words(n: int) -> str:
    """"3 steps"."""
    return ngettext("{n} step", "{n} steps", n).format(n=n)


def places_words(n: int) -> str:
    """"3 places"."""
    return ngettext("{n} place", "{n} places", n).format(n=n)


def people_words(n: int) -> str:
    """"3 people"."""
    return ngettext("{n} person", "{n} people", n).format(n=n)


def teams_words(n: int) -> str:
    """"3 teams"."""
    return ngettext("{n} team", "{n} teams", n).format(n=n)


def bars_words(n: int) -> str:
    """"3 bars": lengths of stock as they are bought."""
    return ngettext("{n} bar", "{n} bars", n).format(n=n)


def lengths_words(n: int) -> str:
    """"3 lengths"."""
    return ngettext("{n} length", "{n} lengths", n).format(n=n)


def classes_words(n: int) -> str:
    """"3 classes"."""
    return ngettext("{n} class", "{n} classes", n).format(n=n)


def pieces_words(n: int) -> str:
    """"3 pieces"."""
    return ngettext("{n} piece", "{n} pieces", n).format(n=n)
