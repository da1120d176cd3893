"""`raisebook forget`: a name that somebody typed, or a photo, taken out of a log whose entries stay."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldapp.base.errors import KitError
from fieldapp.log.baggage import PHOTO_FOLDER, erase_photos
from fieldapp.log.entry import LOG_NAME, is_photo

if TYPE_CHECKING:
    from fieldapp.log.book import SiteBook
    from fieldapp.log.entry import Entry

FOLDER = click.Path(path_type=Path)
STORE = click.option("--store", metavar="ADDRESS", default="",
                     help="Database server that keeps the log of FOLDER: postgresql://ROLE@HOST/DATABASE.")
COPIES = ("log*.sqlite", "log*.sqlite-wal", "log*.jsonl")
"""What may lie beside a log and hold what it held: backups, logs moved aside, older versions, rescue files."""


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("name", required=False)
@click.option("--photo", metavar="DIGEST", help="Erase this photo instead: its name in FOLDER/photos, without .jpg.")
@click.option("--copies", is_flag=True, help="Delete the copies beside the log that hold the name, too.")
@click.option("--yes", is_flag=True, help="Without asking; copies are deleted only with --copies.")
@STORE
def forget(folder: Path, name: str | None, photo: str | None, *, copies: bool, yes: bool, store: str) -> None:
    """Forget the NAME that somebody typed, in the log of FOLDER; without NAME list the names that it knows.

    The entries stay, of somebody. Other laptops forget it too when they join this log, or an export of it. What people
    wrote in their own words cannot be erased, nor can copies that were carried away: delete those. The server of
    FOLDER must be stopped meanwhile; with --store all laptops go on, and forget it within seconds.
    """
    from fieldapp.log.opening import open_book  # brings in the database, which other commands do without

    if not store and not (folder / LOG_NAME).is_file():
        raise KitError(f"{folder} has no log yet: there is nothing to forget. Check the path.")
    with open_book(folder, store=store) as book:
        echo_kept_older(folder, book.kept_older)
        if photo is not None:
            _erase(folder, book, photo.removesuffix(".jpg"), yes=yes)
        elif name is None or not name.strip():
            _list(book)
        else:
            _echo_copies(_forget(folder, book, name.strip(), yes=yes), copies=copies, yes=yes)


def echo_kept_older(folder: Path, kept: Path | None) -> None:
    """Say that the log was just moved to this version, and what its copy holds."""
    if kept is not None:
        click.echo(f"The log was brought to this version. The older one is kept as {kept}; names that people typed "
                   f"stand in it. When this one has proved good, delete it; raisebook forget {folder} NAME offers to.",
                   err=True)


def _list(book: "SiteBook") -> None:
    names = sorted(set(book.names.known.values()))
    click.echo("\n".join(names) if names else "The log knows no names.")


def _forget(folder: Path, book: "SiteBook", name: str, *, yes: bool) -> list[Path]:
    """Forget it in the log; gives the copies beside it that may hold it, in any of its spellings."""
    pseudonyms = book.names.of(name)
    spellings = {name, *(book.names.known[who] for who in pseudonyms)}
    copies = _copies_with(folder, spellings)
    if not pseudonyms and not copies:
        known = sorted(set(book.names.known.values()))
        there = f"{', '.join(known[:30])}{' …' if len(known) > 30 else ''}" if known else "none"
        raise KitError(f"the log knows nobody who typed the name {name!r}. Names that it knows: {there}. Write it as "
                       "it stands there")
    if pseudonyms and not yes:
        click.confirm(f"Forget {name}? It cannot be brought back.", abort=True)
    book.forget(pseudonyms)
    click.echo(f"{name} is forgotten: pages say somebody." if pseudonyms else f"The log does not know {name}.")
    told = [str(entry.number) for entry in book.entries() if _in_own_words(entry, spellings)]
    if told:
        click.echo(f"{len(told)} entries name {name} in what people wrote in their own words, which cannot be erased: "
                   f"number {', '.join(told[:10])}{' …' if len(told) > 10 else ''}.")
    click.echo("Not reached: photos (--photo), papers, phones, and copies that were carried elsewhere. Another laptop "
               "forgets it when it takes in an export of this log: raisebook log export.")
    return copies


def _in_own_words(entry: "Entry", names: Iterable[str]) -> bool:
    """True if the entry names somebody where people write what they like."""
    named = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, names))})(?!\w)", re.IGNORECASE)
    return any(named.search(text) for text in _texts(entry.data))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping | list | tuple):
        for inner in value.values() if isinstance(value, Mapping) else value:
            yield from _texts(inner)


def _erase(folder: Path, book: "SiteBook", digest: str, *, yes: bool) -> None:
    if not is_photo(digest) or not any(entry.data.get("photo") == digest for entry in book.entries()):
        raise KitError(f"no entry has a photo {digest!r}. Its name stands in the address of the photo, and in "
                       f"{folder / PHOTO_FOLDER}: 64 figures and letters a to f")
    if not yes:
        click.confirm("Erase this photo? It cannot be brought back.", abort=True)
    there = book.photo(digest) is not None
    book.forget((digest,))
    count = erase_photos(folder, (digest,)) or there
    click.echo(f"{'The photo is erased' if count else 'The photo was not here'}: its digest stays in the entry, and "
               "pages say that it was erased. Not reached: copies that were carried elsewhere; another laptop erases "
               "its own when it takes in an export of this log.")


def _copies_with(folder: Path, names: Iterable[str]) -> list[Path]:
    """Files beside the log in which one of the names stands, as text or in JSON."""
    sought = {text.encode() for name in names for text in (name, json.dumps(name, ensure_ascii=False)[1:-1])}
    found = sorted({path for pattern in COPIES for path in folder.glob(pattern) if path.is_file()})
    return [path for path in found if not path.name.startswith(LOG_NAME)
            and any(text in content for content in [path.read_bytes()] for text in sought)]


def _echo_copies(found: Iterable[Path], *, copies: bool, yes: bool) -> None:
    for path in found:
        if copies or (not yes and click.confirm(f"{path} may hold the name still. Delete it?")):
            path.unlink()
            click.echo(f"Deleted {path}")
        else:
            click.echo(f"{path} may hold the name still; delete it when it is no longer needed.")
