"""Reading JSON that others may have written: whatever is wrong with it is a ValueError."""

import json
from typing import Any


def from_json(text: str) -> Any:
    """The values of a text.

    Raises
    ------
    ValueError
        If it is no JSON, has a number of thousands of digits, or lists in lists beyond all reason.

    Examples
    --------
    >>> from_json('{"format": 1}')
    {'format': 1}
    """
    try:
        return json.loads(text)
    except RecursionError as error:
        raise ValueError("it has lists or tables in each other beyond all reason") from error
