"""Tables as CSV text (RFC 4180, lines ended by LF), safe to open in a spreadsheet program.

A spreadsheet program runs a cell that begins with =, +, -, @, tab or carriage return as a formula, and names, reasons
and boxes are what people typed. OWASP, "CSV Injection", and ASVS 5.0, requirement 1.2.10, put a single quote before it.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence

Cells = Sequence[object]

_FORMULA = re.compile(r"[\t\n\0]|\s*[=+\-@＝＋－＠]")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")


def csv_text(heading: Cells, rows: Iterable[Cells]) -> str:
    """A table as CSV text; words that a spreadsheet program would run are marked as words.

    Examples
    --------
    >>> print(csv_text(("who", "mm"), [("=1+1", -1.5), ("crew 1", "-0.25")]), end="")
    who,mm
    '=1+1,-1.5
    crew 1,-0.25
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heading)
    writer.writerows([as_words(cell) for cell in row] for row in rows)
    return text.getvalue()


def as_words(cell: object) -> object:
    """A cell that no spreadsheet program takes for a formula: numbers stay, words that look like one get a quote.

    Examples
    --------
    >>> as_words("-3.20"), as_words("-2+3"), as_words("@home"), as_words(-4)
    ('-3.20', "'-2+3", "'@home", -4)
    """
    if not isinstance(cell, str):
        return cell
    words = cell.replace("\r\n", "\n").replace("\r", "\n")      # a lone return would end the row for some readers
    return f"'{words}" if _FORMULA.match(words) and not _NUMBER.fullmatch(words) else words
