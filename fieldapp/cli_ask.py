"""`raisebook show` and `raisebook checks`: where a part goes; is the kit complete and fit, and if not, what to do?"""

import json
from datetime import UTC, datetime
from pathlib import Path

import click

from fieldapp.base.errors import KitError, PartIdError
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import LOG_NAME


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("part")
@click.option("--columns", default=72, show_default=True, type=click.IntRange(30, 200), help="Width of the picture.")
def show(folder: Path, part: str, columns: int) -> None:
    """Show in the terminal where PART of the kit in FOLDER goes, with what stands now.

    The picture is the one of the pages and of the booklet.
    """
    from fieldapp.prints.terminal.kit import place_text  # these bring in the database and the pictures
    from fieldapp.reports.raising.seating import seating

    kit = read_kit(folder)
    meant, standing = seating(kit, folder / LOG_NAME)
    for line in place_text(kit, _place(kit, part, meant), standing, columns=columns):
        click.echo(line)


def _place(kit: Kit, text: str, meant: dict[str, str]) -> str:
    """The place that the part typed is meant for."""
    from fieldapp.kit.ids import named_part

    part, _end = named_part(text, kit)
    if part.id not in meant:
        raise PartIdError(f"{part.id} is a spare of class {part.part_class} and is meant for no place yet.")
    return meant[part.id]


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
