"""`raisebook log copy`: a log moved to a database server and back; a log there that lacks what is about to come in."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldapp.base.errors import StoreError
from fieldapp.kit.file import read_kit
from fieldapp.log.entry import LOG_NAME

if TYPE_CHECKING:
    from fieldapp.log.book import SiteBook


@click.command("copy")
@click.argument("source")
@click.argument("target")
@click.option("--role", default="", metavar="NAME", help="Role that laptops serve as: it may add and read, and change "
              "nothing. It must be there already.")
def copy(source: str, target: str, role: str) -> None:
    """Move the log of a kit's folder to a database server, or back: one of SOURCE and TARGET is a folder.

    To a server (postgresql://OWNER@HOST/DATABASE) it is done by the owner of the database, once for each kit; the file
    is kept under another name. Back, the folder must have no log, and goes on as a branch of its own. Photos of damage
    go along both ways. Where the log was moved before, tables of an older program are brought up to date.
    """
    from fieldapp.log.memory import MOVED
    from fieldapp.log.shared.connecting import is_store, told  # only this command brings in the server
    from fieldapp.log.shared.moving import from_server, to_server

    if is_store(source) == is_store(target):
        raise click.UsageError(f"one of '{told(source)}' and '{told(target)}' must be a kit's folder, the other an "
                               "address that begins with postgresql://")
    if is_store(target):
        count = to_server(Path(source), read_kit(Path(source)), target, role=role)
        kept = Path(source) / MOVED
        click.echo(f"{count} entries are on {told(target)} now, with the photos. "
                   f"{f'{kept} is the log as it was. ' if kept.exists() else ''}"
                   f"Serve it with: raisebook yard {source} --store ADDRESS")
    else:
        count = from_server(source, Path(target), read_kit(Path(target)))
        click.echo(f"{count} entries of {told(source)} are in {Path(target) / LOG_NAME} now, with the "
                   f"photos. Serve it with: raisebook serve {target}. What phones write to the store from now on joins "
                   f"it by raisebook log export and import only, as the other way round")


def lacking_or_not(folder: Path, store: str) -> "SiteBook":
    """The log on a server, also where it lacks what this laptop knows: that is about to come back."""
    from fieldapp.log.opening import open_book  # brings in the database

    try:
        return open_book(folder, store=store)
    except StoreError as error:
        if error.fault != "lost_there":
            raise
        click.echo(f"{error}.", err=True)
        return open_book(folder, store=store, go_on=True)
