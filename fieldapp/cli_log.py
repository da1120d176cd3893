"""`raisebook backup`, `restore`, `log export` and `log import`: the log carried away and brought back."""

from datetime import datetime
from pathlib import Path

import click

from fieldapp.base.errors import KitError, StoreError
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.photos import copy_photos

FOLDER = click.Path(path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--to", "target", type=FOLDER, help="File to write; the default has the time in its name.")
def backup(folder: Path, target: Path | None) -> None:
    """Copy the log of FOLDER, also while phones write to it; the copy is checked."""
    from fieldapp.log.backup import backup as copy  # brings in the database, which other commands do without

    read_kit(folder)
    _existing_log(folder)
    path = copy(folder / LOG_NAME, target or folder / f"log-{datetime.now():%Y-%m-%d-%H%M%S}.sqlite")
    photos = copy_photos(folder, path.parent)
    if photos:
        click.echo(f"Copied {photos} photos beside it.")
    click.echo(f"Wrote {path}. Keep it on another machine too; {folder / 'kit.json'} belongs to it.")


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("copy", type=FOLDER)
def restore(folder: Path, copy: Path) -> None:
    """Put the backup COPY in the place of the log of FOLDER; the log that was there is moved aside."""
    from fieldapp.log.backup import restore as put_back  # brings in the database, which other commands do without

    read_kit(folder)
    aside = put_back(copy, folder / LOG_NAME)
    copy_photos(copy.parent, folder)
    click.echo(f"The log of {folder} is now the one of {copy}.")
    if aside:
        click.echo(f"The log that was there is kept as {aside}.")


@click.group()
def log() -> None:
    """Carry the log from one laptop to another as lines of JSON."""


@log.command("export")
@click.argument("folder", type=FOLDER)
@click.option("--to", "target", type=FOLDER, help="File to write; the default is the terminal.")
def export(folder: Path, target: Path | None) -> None:
    """Write the log of FOLDER as lines of JSON, also while phones write to it."""
    from fieldapp.kit.atomic import write_atomic  # these are needed by this command only
    from fieldapp.log.backup import export_lines
    from fieldapp.log.store import read_log

    kit = read_kit(folder)
    _existing_log(folder)
    text = "".join(export_lines(read_log(folder / LOG_NAME), _prefix(kit)))
    if target is None:
        click.echo(text, nl=False)
        return
    write_atomic(target, text.encode())
    click.echo(f"Wrote {target}")


@log.command("import")
@click.argument("folder", type=FOLDER)
@click.argument("lines", type=click.Path(path_type=Path))
def import_(folder: Path, lines: Path) -> None:
    """Join the exported log LINES into the log of FOLDER; in any order, any number of times.

    The server of FOLDER must be stopped meanwhile.
    """
    from fieldapp.log.backup import import_lines  # brings in the database, which other commands do without
    from fieldapp.log.opening import open_book

    kit = read_kit(folder)
    entries = import_lines(_lines_of(lines), _prefix(kit))
    with open_book(folder) as book:
        new = book.take_in(entries)
        clashes = book.state.clashes
    click.echo(f"{new} of {len(entries)} entries were new to {folder}.")
    if clashes:
        click.echo(f"{len(clashes)} entries found no room, because another laptop's came first:")
    for clash in clashes[:10]:
        click.echo(f"  {clash.words}")


def _lines_of(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8").splitlines()
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}. Check the name of the file.") from error
    except UnicodeDecodeError as error:
        raise StoreError(f"{path} is not text (byte {error.start}). "
                         "Choose a file made by: raisebook log export") from error


def _existing_log(folder: Path) -> None:
    if not (folder / LOG_NAME).is_file():
        raise KitError(f"{folder} has no log yet: nothing was served from it. Start with: raisebook serve {folder}")


def _prefix(kit: Kit) -> str:
    return kit.design.frame.prefix
