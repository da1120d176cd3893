"""A table as another program reads it: nothing that people typed runs there, and no number is changed.

Which beginnings are dangerous: OWASP, "CSV Injection" (= + - @ tab, carriage return); ASVS 5.0, requirement 1.2.10.
"""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldapp.base.csv_text import csv_text

DANGEROUS = "=+-@\t\r"
CELLS = st.text(st.characters(codec="utf-8"), max_size=12) | st.sampled_from(DANGEROUS).flatmap(
    lambda first: st.text("A1+-=(\"',;\n ", max_size=8).map(lambda rest: first + rest))


def _read(text):
    return list(csv.reader(io.StringIO(text, newline="")))


@given(rows=st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=4))
def test_what_was_typed_is_read_back_and_never_runs(rows):
    back = _read(csv_text(("who", "words"), rows))[1:]
    assert [[_plain(cell) for cell in row] for row in back] == [[_plain(cell) for cell in row] for row in rows]
    assert [cell for row in back for cell in row if cell[:1] in tuple(DANGEROUS) and not _is_number(cell)] == []


def _plain(cell):
    return cell.removeprefix("'").replace("\r\n", "\n").replace("\r", "\n")


def _is_number(cell):
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("number", [-12.5, "-12.50", "+3", "-.5", "1e-05", "-2e-3", 0, ""])
def test_numbers_stay_as_they_are(number):
    assert _read(csv_text(("mm",), [(number, "x")]))[1][0] == str(number)
