"""`raisebook yard`: several kits on the network of the site, at one address."""

import os
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldapp.base.errors import KitError, RaisebookError, ServeError
from fieldapp.cli_site import BROWSER, CHIEF_PHRASE, HTTPS, HTTPS_PORT, PORT, STATUSES, show_page
from fieldapp.log.book import SiteBook
from fieldapp.log.opening import open_book
from fieldapp.wording.breaking import breaking_line

if TYPE_CHECKING:
    from fieldapp.web.yard.kits import ShutKit


@click.command(epilog=STATUSES)
@click.argument("folders", nargs=-1, required=True, metavar="DIR...", type=click.Path(path_type=Path))
@click.option("--own", metavar="DIR", type=click.Path(path_type=Path),
              help="Where the yard keeps its own join code, pass phrase and list of phones; if none is given, "
                   "the folder that the kits lie in.")
@click.option("--port", default=PORT, show_default=True, help="Port to answer on.")
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to answer on; the default is all of them.")
@CHIEF_PHRASE
@HTTPS
@HTTPS_PORT
@BROWSER
@click.option("--store", metavar="ADDRESS", default="", envvar="RAISEBOOK_STORE",
              help="Database server (PostgreSQL 15 or newer) that keeps the logs, for several laptops in one network: "
                   "postgresql://ROLE@HOST/DATABASE. Put them there first, by raisebook log copy.")
@click.option("--go-on", is_flag=True, help="With --store: serve kits also without entries that were answered and that "
              "the server lacks; inspect the parts concerned.")
@click.option("--yes", is_flag=True, help="Serve kits with the same letters without asking: phones ask at each scan.")
def yard(folders: tuple[Path, ...], own: Path | None, port: int, host: str, *, chief_phrase: str | None, https: bool,
         https_port: int, browser: bool, store: str, go_on: bool, yes: bool) -> None:
    """Serve all kits in these folders at one address, until Ctrl-C.

    DIR is a kit's folder, or a folder that kits lie in. Phones join once for all of them; a label opens its own kit.
    Each kit keeps its folder and its log: one that another raisebook serves, on this laptop, is left out and named.
    """
    from fieldapp.kit.file import kit_folders
    from fieldapp.web.yard.kits import ShutKit  # the pages are loaded only by commands that serve them

    places = kit_folders(folders)
    with ExitStack() as stack:
        books: list[tuple[Path, SiteBook]] = []
        shut: list[ShutKit] = []
        for place in places:
            try:
                book = stack.enter_context(open_book(
                    place, else_read=datetime.now().astimezone(), store=store, go_on=go_on and bool(store)))
            except RaisebookError as error:
                shut.append(ShutKit(place, str(error)))
                click.echo(f"Left out: {place}\n  {error}", err=True)
                continue
            books.append((place, book))
            _echo_opened(place, book)
        if not books:
            raise KitError(f"none of {len(places)} kits could be opened; why stands above. Mend that, or name others.")
        _ask_about_letters(books, sure=yes)
        if store:
            stack.enter_context(_following(store, books))
        _run(own or _common_folder(places), books, shut, (host, port, https_port if https else None),
             chief_phrase=chief_phrase, browser=browser)


@contextmanager
def _following(store: str, books: Sequence[tuple[Path, SiteBook]]) -> Iterator[None]:
    """While inside, what other laptops write is taken note of."""
    from fieldapp.log.shared.connecting import told
    from fieldapp.log.shared.follow import Follower  # only with a store
    from fieldapp.log.shared.tables import schema_of

    click.echo(f"The logs are kept on {told(store)}, and so are photos.")
    follower = Follower(store, {schema_of(book.site.kit): book for _place, book in books}).start()
    try:
        yield
    finally:
        follower.stop()


def _echo_opened(place: Path, book: SiteBook) -> None:
    design = book.site.kit.design
    click.echo(f"{design.frame.prefix}  {design.frame.name}: {place}")
    if book.only_reads:
        click.echo(f"    only reading: {book.cannot_write}", err=True)
    if line := breaking_line(book.site.plan, design):
        click.echo(f"    {line}")


def _ask_about_letters(books: Sequence[tuple[Path, SiteBook]], *, sure: bool) -> None:
    """Kits whose labels cannot be told apart are served only if somebody says so."""
    by_letters: dict[str, list[Path]] = defaultdict(list)
    for place, book in books:
        by_letters[book.site.kit.design.frame.prefix].append(place)
    for letters, places in by_letters.items():
        if len(places) > 1:
            click.echo(f"{len(places)} kits have the letters {letters}: {', '.join(map(str, places))}. A label says no "
                       f"more than that, so phones will ask at every scan of which kit it is.")
            if not sure:
                click.confirm("Serve them all the same?", abort=True)


def _common_folder(places: Sequence[Path]) -> Path:
    """The nearest folder that all kits lie in."""
    try:
        found = Path(os.path.commonpath([place.parent for place in places]))
    except ValueError as error:
        raise ServeError("these kits lie on several disks: name a folder for what belongs to none of them, with --own "
                         "DIR.") from error
    if found == Path(found.anchor):
        raise ServeError(f"these kits have no folder in common but {found}: name one for what belongs to none of them, "
                         f"with --own DIR.")
    return found


def _run(own: Path, books: Sequence[tuple[Path, SiteBook]], shut: "Sequence[ShutKit]",
         where: tuple[str, int, int | None], *, chief_phrase: str | None, browser: bool) -> None:
    from fieldapp.web.server.serve import serve as serve_pages
    from fieldapp.web.yard.app import create_yard, yard_rights

    (host, port, https_port), (_place, first) = where, books[0]
    printed = first.site.kit.design.site.address
    held = yard_rights(own, books, chief_phrase)
    app = create_yard(own, books, held, shut=shut)
    with ExitStack() as beside:
        if https_port is not None:
            from fieldapp.web.server.https import also_https  # only this option needs the second server

            click.echo(beside.enter_context(also_https(app, own, (printed, host, https_port))))
        serve_pages(app, port=port, host=host, printed_address=printed, name=f"{len(books)} kits",
                    join_code=held.key.join_code, report=click.echo, show=show_page if browser else None)
