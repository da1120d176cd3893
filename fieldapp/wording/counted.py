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
