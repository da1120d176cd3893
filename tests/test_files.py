"""Files of the product stay as short as a reader likes them."""

import pytest

from fieldapp.base.sources import PACKAGES, source_files

MOST_LINES = 300
"""Of a file; most have about 150."""


def _too_long(texts):
    return [f"{name}: {lines} lines" for name, text in texts if (lines := len(text.splitlines())) > MOST_LINES]


def test_no_file_is_too_long():
    found = _too_long((path.relative_to(PACKAGES), path.read_text(encoding="utf-8")) for path in source_files())
    assert not found, "give what is a subject of its own a file of its own:\n" + "\n".join(found)


@pytest.mark.parametrize(("lines", "too_long"), [(300, False), (301, True)])
def test_a_long_file_is_named(lines, too_long):
    assert _too_long([("x.py", "a = 1\n" * lines)]) == (["x.py: 301 lines"] if too_long else [])
