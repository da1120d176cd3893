"""`raisebook sources`: where every value and formula comes from, and which test holds it."""

from collections.abc import Iterator
from itertools import groupby
from textwrap import wrap

import click

from fieldapp.base.csv_text import csv_text
from fieldapp.base.sources import Sourced, map_of_files, sourced

HEADING = ("file", "name", "value", "unit", "meaning", "source", "test")


@click.command()
@click.argument("words", nargs=-1)
@click.option("--csv", "as_csv", is_flag=True, help="As a table for other programs.")
@click.option("--files", is_flag=True, help="The map of files instead: what each of them says of itself.")
def sources(words: tuple[str, ...], as_csv: bool, files: bool) -> None:
    """Print every value and formula with its unit, its source and the test that holds it.

    WORDS narrow it to the lines that contain all of them: a clause, a file, a name. "Our choice" is a decision of this
    program, "from memory" a source that was not read again, "common practice" knowledge of the trade without one. A
    number in brackets is an equation in the README.md of its room. Tests and README.md files come with the source.
    """
    if files:
        for path, line in map_of_files():
            if _meant(words, path, line):
                click.echo(f"{path}: {line}")
        return
    found = [entry for entry in sourced() if _meant(words, *_row(entry))]
    if as_csv:
        click.echo(csv_text(HEADING, map(_row, found)), nl=False)
        return
    for line in _lines(found):
        click.echo(line)


def _meant(words: tuple[str, ...], *cells: str) -> bool:
    """True if a row has all of the words in it."""
    text = " ".join(cells).casefold()
    return all(word.casefold() in text for word in words)


def _row(entry: Sourced) -> tuple[str, ...]:
    """A row of the table."""
    return (entry.file, entry.name, entry.value, entry.unit, entry.meaning, entry.source, ", ".join(entry.tests))


def _lines(found: list[Sourced]) -> Iterator[str]:
    """The table for a terminal, file by file."""
    for file, entries in groupby(found, key=lambda entry: entry.file):
        yield file
        for entry in entries:
            unit = f" {entry.unit}" if entry.unit not in {"", "1"} else ""
            head = f"{entry.name} = {entry.value}{unit}" if entry.value else entry.name or "the whole file"
            yield f"  {head}"
            for words in (entry.meaning, f"Source: {entry.source}.", f"Test: {', '.join(entry.tests)}"):
                yield from wrap(words, 112, initial_indent="    ", subsequent_indent="      ", break_long_words=False)
