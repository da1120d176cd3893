"""Who looks at a page: name, phone, rights, now."""

from fieldapp.web.context import site, who
from fieldapp.web.entry_view import Reader
from fieldapp.web.phone import sender
from fieldapp.web.rights import is_chief


def reader() -> Reader:
    """Who looks at this page, from which phone, with which rights, now."""
    return Reader(site().clock(), who(), sender(), is_chief())
