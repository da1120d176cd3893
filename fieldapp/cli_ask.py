"""Questions that change nothing: `raisebook show`, `raisebook checks` and `raisebook sources`."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from fieldapp.base.csv_text import csv_text
from fieldapp.base.errors import KitError
from fieldapp.base.sources import Sourced, map_of_files, sourced
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit, Part

if TYPE_CHECKING:
    from fieldapp.log.state import State

HEADING = ("file", "name", "value", "unit", "meaning", "source", "test")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("part")
@click.option("--columns", default=72, show_default=True, type=click.IntRange(30, 200), help="Width of the picture.")
def show(folder: Path, part: str, columns: int) -> None:
    """Show in the terminal where PART of the kit in FOLDER goes, with what stands now.

    The picture is the one of the pages and of the booklet.
    """
    from fieldapp.kit import with_parts
    from fieldapp.kit.ids import named_part
    from fieldapp.log.opening import logged_state  # these bring in the database and the pictures
    from fieldapp.prints.terminal import place_text

    kit = read_kit(folder)
    state = logged_state(folder, kit)
    found, _end = named_part(part, with_parts(kit, state.made.values()))
    place = state.parts[found.id].fitted_at or state.home_of(found.id)
    if place is not None:
        for line in (*place_text(kit, place, frozenset(state.fitted), columns=columns), ""):
            click.echo(line)
    for line in _told(folder, kit, state, found):
        click.echo(line)


def _told(folder: Path, kit: Kit, state: "State", part: Part) -> tuple[str, ...]:
    """What its page says of it."""
    from fieldapp.log.opening import logged_setting
    from fieldapp.wording.status import status_lines

    site = logged_setting(folder, kit, state)
    return status_lines(site, state, part) if site is not None else (
        "Whether it may go in is not known here yet: raisebook make or serve works out the plan, and keeps it.",)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--way", help="For this way of raising, for example \"crown first\"; the default is the kit's own.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON record instead of the report.")
@click.option("--paper", is_flag=True, help="Also write the record of the last inspection round, tags for the bundles "
              "and stickers for new places into FOLDER/paper.")
@click.pass_context
def checks(context: click.Context, folder: Path, way: str | None, *, as_json: bool, paper: bool) -> None:
    """Say whether the kit in FOLDER is complete, inspected and fit, by its log; exit status 1 if it is not.

    Reads the log and writes nothing into it, so it may be asked while the kit is served.
    """
    from fieldapp.reports.readiness import (
        folder_readiness,  # brings in scipy, which other commands do without
    )
    from fieldapp.reports.readiness.record import readiness_record
    from fieldapp.wording.readiness import readiness_lines

    try:
        ready = folder_readiness(folder, way, now=datetime.now(UTC))
    except OSError as error:        # status 1 says that the kit was judged
        raise KitError(f"{error.filename} cannot be read: {error.strerror}. Check the path and its permissions."
                       ) from error
    if as_json:
        click.echo(json.dumps(readiness_record(ready), indent=1, ensure_ascii=False))
    else:
        for line in readiness_lines(ready):
            click.echo(line)
    if paper:
        from fieldapp.web.inspection.paper import write_inspection_paper  # brings in the PDF library

        for path in write_inspection_paper(folder, ready):
            click.echo(f"Wrote {path}", err=True)
    context.exit(0 if ready.fit else 1)


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
