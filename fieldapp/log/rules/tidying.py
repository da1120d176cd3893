"""Words on one line, whatever page, program or laptop they came from."""

import re
from collections.abc import Mapping
from typing import Any

from fieldapp.log.entry import Request

_BREAKS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
"""Control characters, and the separators of lines and paragraphs: all that any reader of files may end a line at."""


def breaks_lines(text: str) -> bool:
    """True if it holds a character that may end a line."""
    return _BREAKS.search(text) is not None


def one_line(value: Any) -> Any:
    """The same value with a blank in place of each run of such characters, in every text in it, however deep.

    Examples
    --------
    >>> one_line({"words": "split\\u2028along the grain", "items": ["a\\r\\nb", 3]})
    {'words': 'split along the grain', 'items': ['a b', 3]}
    """
    if isinstance(value, str):
        return _BREAKS.sub(" ", value)
    if isinstance(value, Mapping):
        return {key: one_line(item) for key, item in value.items()}
    return [one_line(item) for item in value] if isinstance(value, list | tuple) else value


def tidied(request: Request) -> Request:
    """The request with its words on one line; its key stays, since the same key twice counts once."""
    return Request(request.key, one_line(request.kind), one_line(request.part), one_line(request.place),
                   one_line(request.who), request.sent_at, one_line(request.data), request.chief,
                   one_line(request.sender), request.seen)
