"""`raisebook backup`, `restore`, `log export` and `log import`: the log carried away and brought back."""

import sys
from collections.abc import Collection
from datetime import datetime
from pathlib import Path

import click

from fieldapp.base.errors import KitError, StoreError
from fieldapp.base.said import in_words
from fieldapp.cli_forget import STORE, echo_kept_older
from fieldapp.cli_log_store import copy, lacking_or_not
from fieldapp.kit.file import has_kit, read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.baggage import (
    PHOTO_FOLDER,
    PLAIN_FILES,
    SECRETS,
    copy_kit_files,
    copy_photos,
    erase_photos,
    photos_in,
    refuse_folder_of_other_kit,
    strange_photos,
)
from fieldapp.log.entry import LOG_NAME, Entry

FOLDER = click.Path(path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--to", "target", type=FOLDER, help="Folder to write into, better on another disk, or a file ending in "
              ".sqlite; the default is FOLDER itself. The copy has the time in its name.")
def backup(folder: Path, target: Path | None) -> None:
    """Copy the log of FOLDER, also while phones write to it; the copy is checked.

    Into another folder go with it: the photos, the kit, its checklist, the join code and the chief's pass phrase (as a
    hash), so that restore can bring back all of it on another laptop.
    """
    from fieldapp.log.backup import backup as copy  # these bring in the database, which other commands do without
    from fieldapp.log.reading import names_of

    read_kit(folder)
    _existing_log(folder)
    path = _copy_name(folder, target)
    refuse_folder_of_other_kit(folder, path.parent)
    copy(folder / LOG_NAME, path)
    click.echo(f"Wrote {path}")
    if path.parent.resolve() == folder.resolve():
        click.echo(f"It lies beside the log, and so do photos and kit. Carry {folder} to another disk too, or name one "
                   f"with --to.")
        return
    names = copy_kit_files(folder, path.parent, only_lacking=False)
    click.echo(f"With it: {', '.join(names)}.")
    if set(SECRETS) & set(names):
        click.echo("Whoever has these can let phones join: keep the copy as you keep a key.")
    click.echo(f"With it: {copy_photos(folder, path.parent, names_of(path).forgotten)} photos that were not there yet.")
    _echo_strange(folder)


def _copy_name(folder: Path, target: Path | None) -> Path:
    if target is not None and target.suffix and not target.is_dir():
        return target
    path, number = (target or folder) / f"log-{datetime.now():%Y-%m-%d-%H%M%S}.sqlite", 1
    first = path
    while path.exists():        # a second backup within the second
        number += 1
        path = first.with_stem(f"{first.stem}-{number}")
    return path


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("copy", type=FOLDER)
@click.option("--with-gaps", is_flag=True, help="Go on from a stick although entries of it are missing or not as they "
              "were written; inspect the parts concerned.")
@click.option("--codes/--no-codes", default=None, help="Take over the join code, the chief's pass phrase and the list "
              "of joined phones as well, where FOLDER lacks them. Without either, a person at the terminal is asked; "
              "scripts take none.")
def restore(folder: Path, copy: Path, *, with_gaps: bool, codes: bool | None) -> None:
    """Put the backup COPY in the place of the log of FOLDER; the log that was there is moved aside.

    COPY may also be the folder that serve --also wrote to: its newest whole copy and all entries after it.

    Photos beside COPY come back, and of kit, design and checklist whatever FOLDER lacks; join code and pass phrase only
    if you say so. FOLDER may be a new one. The server of FOLDER must be stopped meanwhile.
    """
    from fieldapp.log.from_stick import stick_folder  # these bring in the database, which other commands do without
    from fieldapp.log.reading import names_of

    stick = stick_folder(copy)
    source = stick or copy.parent
    taken = (*PLAIN_FILES, *(SECRETS if _takes_codes(source, folder, codes) else ()))
    if not has_kit(folder) and has_kit(source):
        _echo_kit_files(source, folder, taken)
    aside = _go_on_from(stick, folder, with_gaps=with_gaps) if stick else _put_back(copy, folder)
    if aside:
        click.echo(f"The log that was there is kept as {aside}.")
    if source.resolve() == folder.resolve():
        return
    _echo_kit_files(source, folder, taken)
    photos = copy_photos(source, folder, names_of(folder / LOG_NAME).forgotten)
    click.echo(f"{photos} photos were brought back.")
    _echo_strange(source)


def _put_back(copy: Path, folder: Path) -> Path | None:
    from fieldapp.log.backup import restore as put_back  # as above

    aside = put_back(copy, folder / LOG_NAME, read_kit(folder))
    click.echo(f"The log of {folder} is now the one of {copy}.")
    return aside


def _go_on_from(stick: Path, folder: Path, *, with_gaps: bool) -> Path | None:
    from fieldapp.log.from_stick import bring_plans, read_stick, refuse_not_whole, restore_stick  # as above

    kit = read_kit(folder)
    found = read_stick(stick, kit)
    if not with_gaps:
        refuse_not_whole(found)
    for gap in found.gaps:
        click.echo(f"Gone on without: {gap}.", err=True)
    aside = restore_stick(found, folder / LOG_NAME, kit)
    bring_plans(stick, folder)
    click.echo(f"The log of {folder} is now the one of the stick {stick}: {found.in_copy} entries from its whole copy, "
               f"{len(found.entries) - found.in_copy} more from its lines.")
    click.echo("What was answered in the last second before the first laptop died may be lacking: let the crew look at "
               "what they did last. If that laptop comes back, join its log: raisebook log export there, log import "
               "here.")
    return aside


@click.group()
def log() -> None:
    """Carry the log from one laptop to another as lines of JSON."""


log.add_command(copy)


@log.command("export")
@click.argument("folder", type=FOLDER)
@click.option("--to", "target", type=FOLDER, help="File to write; photos are put beside it. The default is the "
              "terminal, without photos.")
@click.option("--damaged", is_flag=True, help="Bring out what can still be read of a damaged log.")
@click.option("--without-names", is_flag=True, help="Leave out the names that people typed, for readers who need not "
              "know them; a laptop that joins such lines shows somebody instead.")
def export(folder: Path, target: Path | None, *, damaged: bool, without_names: bool) -> None:
    """Write the log of FOLDER as lines of JSON, also while phones write to it.

    Names that people typed go along on lines of their own, and so does what was forgotten.
    The lines only name the photos of damage; with --to the photos are copied into a folder beside the file.
    """
    from fieldapp.kit.atomic import write_atomic  # these are needed by this command only
    from fieldapp.log.backup import export_lines
    from fieldapp.log.copying import salvaged_names
    from fieldapp.log.reading import names_of, read_laptops, read_log

    kit = read_kit(folder)
    _existing_log(folder)
    entries = _salvaged(folder, kit) if damaged else read_log(folder / LOG_NAME, kit)
    laptops = {} if damaged else read_laptops(folder / LOG_NAME)
    forgotten = (salvaged_names if damaged else names_of)(folder / LOG_NAME).forgotten
    text = "".join(export_lines(entries, kit, laptops.values(), forgotten, bare=without_names))
    photos = len(list((folder / PHOTO_FOLDER).glob("*.jpg")))
    if target is None:
        click.echo(text, nl=False)
        if photos:
            click.echo(f"The {photos} photos of {folder / PHOTO_FOLDER} are not among these lines.", err=True)
        return
    write_atomic(target, text.encode())
    click.echo(f"Wrote {target}")
    if photos and target.resolve().parent != folder.resolve():
        copy_photos(folder, target.parent, forgotten)
        click.echo(f"Its {photos} photos are in {target.parent / PHOTO_FOLDER}: carry that folder along.")


def _salvaged(folder: Path, kit: Kit) -> tuple[Entry, ...]:
    from fieldapp.log.copying import salvage
    from fieldapp.log.mark import IN_PLACE, refuse_strangers

    entries, lost = salvage(folder / LOG_NAME)
    refuse_strangers(kit, entries, f"the log {folder / LOG_NAME}", IN_PLACE)
    click.echo(f"{len(entries)} entries can be read, {len(lost)} cannot.", err=True)
    if lost:
        click.echo(f"Those are numbers {', '.join(map(str, lost[:20]))}{' …' if len(lost) > 20 else ''}: a backup or "
                   "another laptop may have them.", err=True)
    return entries


@log.command("import")
@click.argument("folder", type=FOLDER)
@click.argument("lines", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Take it in without asking, after the same review.")
@click.option("--with-gaps", is_flag=True, help="Take it in although entries of it are missing or not as they were "
              "written, as after a damaged disk; inspect the parts concerned.")
@STORE
def import_(folder: Path, lines: Path, *, yes: bool, with_gaps: bool, store: str) -> None:
    """Join the exported log LINES into the log of FOLDER; in any order, any number of times.

    First it is said what would come in: parts that both sides wrote about, entries that would find no room, parts made
    new, acts of a chief, laptops not known here, clocks that differ. Nothing is kept before the answer is yes.

    Photos in a folder beside LINES come along. The server of FOLDER must be stopped meanwhile; not so with --store.
    """
    from fieldapp.log.backup import read_export  # these bring in the database, which other commands do without
    from fieldapp.log.joining import check_entries, join, review
    from fieldapp.log.opening import open_book
    from fieldapp.wording.joining import review_lines

    kit, now = read_kit(folder), datetime.now().astimezone()
    brought = read_export(_lines_of(lines), kit)
    check_entries(brought.entries, kit, now)
    with lacking_or_not(folder, store) if store else open_book(
            folder, go_on=not (folder / LOG_NAME).exists()) as book:
        echo_kept_older(folder, book.kept_older)
        brought = brought.without(book.names)
        found = review(book.state, brought, book.laptops)
        for line in review_lines(found, book.state, now):
            click.echo(line)
        if found.gaps and not with_gaps:
            raise StoreError("nothing was taken in: entries are missing or not as they were written. Export the log "
                             "again on the laptop that wrote it; only if that is gone, take it in with --with-gaps")
        if found.new and not yes:
            click.confirm("Take them in?", abort=True)
        new = join(book, brought, found, now)
        clashes, forgotten = book.state.clashes, book.names.forgotten
        shared = sum(book.keep_photo(path.stem, path.read_bytes()) for path in photos_in(lines.parent)) if store else 0
    erase_photos(folder, forgotten)
    click.echo(f"{new} of {len(brought.entries)} entries were new to {folder}.")
    if clashes:
        click.echo(f"{len(clashes)} entries found no room, because another laptop's came first:")
    for clash in clashes[:10]:
        click.echo(f"  {in_words(clash.words)}")
    if store:
        click.echo(f"{shared} photos beside the lines are there.")
    elif lines.resolve().parent != folder.resolve():
        click.echo(f"{copy_photos(lines.parent, folder, forgotten)} photos were new to it.")


def _takes_codes(source: Path, folder: Path, codes: bool | None) -> bool:
    """Whether what opens the site comes along: whoever had the copy in hand may know it, or have put it there."""
    there = [name for name in SECRETS if (source / name).is_file() and not (folder / name).exists()]
    if not there or source.resolve() == folder.resolve() or codes is not None:
        return bool(there and codes)
    if not sys.stdin.isatty():
        click.echo(f"Not taken, since nobody was asked: {', '.join(there)}. Repeat with --codes if joined phones and "
                   "printed posters shall stay good.", err=True)
        return False
    return click.confirm(f"Take over {', '.join(there)} as well? Joined phones and printed posters then stay good; so "
                         "does whatever somebody knows who had this copy in hand")


def _echo_strange(source: Path) -> None:
    for name in strange_photos(source):
        click.echo(f"Not brought: {name} is a link, or not the photo that its name says.", err=True)


def _echo_kit_files(source: Path, folder: Path, taken: Collection[str]) -> None:
    names = copy_kit_files(source, folder, only_lacking=True, names=taken)
    if names:
        click.echo(f"Brought back, because {folder} lacked them: {', '.join(names)}.")


def _lines_of(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8-sig").split("\n")
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}. Check the name of the file.") from error
    except UnicodeDecodeError as error:
        raise StoreError(f"{path} is not text (byte {error.start}). "
                         "Choose a file made by: raisebook log export") from error


def _existing_log(folder: Path) -> None:
    if not (folder / LOG_NAME).is_file():
        raise KitError(f"{folder} has no log yet: nothing was served from it. Start with: raisebook serve {folder}")
