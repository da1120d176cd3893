"""Who looks at a page: name, phone, rights, now."""

from fieldapp.web.cards.entry_view import Reader
from fieldapp.web.common.context import site, who
from fieldapp.web.common.phone import sender
from fieldapp.web.common.rights import is_chief


def reader() -> Reader:
    """Who looks at this page, from which phone, with which rights, now."""
    return Reader(site().clock(), who(), sender(), is_chief())
