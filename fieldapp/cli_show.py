"""`raisebook show`: where a part goes, in the terminal, when no phone is at hand."""

from pathlib import Path

import click

from fieldapp.base.errors import PartIdError
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
    from fieldapp.prints.terminal.place import place_text  # these bring in the database and the pictures
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
