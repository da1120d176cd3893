"""`raisebook serve` and `raisebook demo`: the kit on the network of the site."""

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime
from pathlib import Path

import click

from fieldapp.cli_forget import echo_kept_older
from fieldapp.kit.site_key import SESSIONS_FILE, site_key
from fieldapp.log.baggage import PHOTO_FOLDER
from fieldapp.log.book import SiteBook
from fieldapp.log.opening import open_book
from fieldapp.log.practice import practice_folder
from fieldapp.log.stick import Stick
from fieldapp.log.stick_status import StickStatus
from fieldapp.wording.breaking import breaking_line
from fieldapp.wording.stick import terminal_lines

PORT = 8000

STATUSES = (
    "Exit status: 0 done, or stopped by Ctrl-C; 1 a file or the disk fails, or checks finds the kit not fit; 2 wrong "
    "words or a design that cannot be built or raised; 3 the kit cannot be read; 4 labelled parts would change; 5 the "
    "log cannot be opened, read or written, or a raisebook has it; 6 the server cannot start: port, address, pass "
    "phrase, certificate.")
"""As in `base.errors`; said by --help."""

CHIEF_PHRASE = click.option(
    "--chief-phrase", metavar="WORDS", envvar="RAISEBOOK_CHIEF_PHRASE",
    help="Pass phrase of the chief, three or four words; kept as a hash and good until another is given. Without one "
         "only the laptop itself is the chief.")

HTTPS = click.option(
    "--https", "https", is_flag=True,
    help="Answer by HTTPS as well, with a certificate of this kit's own, for phones that scan live with the camera.")
HTTPS_PORT = click.option("--https-port", default=8443, show_default=True, help="Port of --https.")


GO_ON = click.option(
    "--go-on", is_flag=True,
    help="Serve although the log is gone, or entries of it are missing or changed; only if no copy is left.")

ALSO = click.option(
    "--also", metavar="DIR", type=click.Path(path_type=Path),
    help="Follow the log on another disk, a stick: each entry within a second, a whole copy every ten minutes, photos "
         "and kit. If the laptop dies, go on from it: raisebook restore NEW-FOLDER DIR.")


PRACTICE = click.option(
    "--practice", is_flag=True,
    help="Practise with the same kit: a log of its own, marked on every page, thrown away at the end. Nothing in "
         "FOLDER changes.")


BROWSER = click.option(
    "--browser/--no-browser", default=True, show_default=True,
    help="Open the laptop's own page in its browser; only where there is a screen. Its address is printed, too, and "
         "gives the laptop's rights once.")


@click.command(epilog=STATUSES)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--port", default=PORT, show_default=True, help="Port to answer on.")
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to answer on; the default is all of them.")
@CHIEF_PHRASE
@HTTPS
@HTTPS_PORT
@GO_ON
@ALSO
@PRACTICE
@BROWSER
def serve(folder: Path, port: int, host: str, *, chief_phrase: str | None, https: bool, https_port: int,
          go_on: bool, also: Path | None, practice: bool, browser: bool) -> None:
    """Serve the kit in FOLDER to the phones on site, until Ctrl-C.

    The log is kept in FOLDER/log.sqlite. Several phones may write at once; only one raisebook may serve a folder.
    """
    if practice and also is not None:
        raise click.UsageError("--practice keeps nothing, so --also has nothing to follow: leave one of them out.")
    ports = (host, port, https_port if https else None)
    if practice:
        _practise(folder, ports, chief_phrase=chief_phrase, browser=browser)
        return
    with open_book(folder, go_on=go_on, else_read=datetime.now().astimezone()) as book:
        _echo_breaking(book)
        _echo_only_reads(book)
        echo_kept_older(folder, book.kept_older)
        _run(folder, book, ports, chief_phrase=chief_phrase, also=also, browser=browser)


def _practise(folder: Path, ports: tuple[str, int, int | None], *, chief_phrase: str | None, browser: bool) -> None:
    """Serve a copy without anything that happened, and throw it away."""
    with practice_folder(folder) as copy, open_book(copy) as book:
        click.echo("Practice: nothing that is written down counts, and it is thrown away at the end.")
        _echo_breaking(book)
        _run(copy, book, ports, chief_phrase=chief_phrase, browser=browser, practice=True)
    click.echo("What was practised is thrown away.")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=Path("orchard-hall"))
@click.option("--port", default=PORT, show_default=True, help="Port to answer on.")
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to answer on; the default is all of them.")
@click.option("--no-serve", is_flag=True, help="Only write the kit.")
@CHIEF_PHRASE
@BROWSER
def demo(folder: Path, port: int, host: str, *, no_serve: bool, chief_phrase: str | None, browser: bool) -> None:
    """Write the demo kit Orchard Hall into FOLDER and serve it.

    A folder that holds the demo already is taken as it is, with its log. Everything in it is invented.
    """
    from fieldapp.demo import ids_to_try, write_demo  # brings in the PDF library, which `serve` does without

    write_demo(folder, report=click.echo)
    with open_book(folder) as book:
        _echo_breaking(book)
        echo_kept_older(folder, book.kept_older)
        click.echo(f"Try these IDs: {', '.join(ids_to_try(book.site.kit))}")
        if no_serve:
            click.echo(f"To serve it: raisebook serve {folder}")
        else:
            _run(folder, book, (host, port, None), chief_phrase=chief_phrase, browser=browser)


def _echo_only_reads(book: SiteBook) -> None:
    """That phones can read, and nothing is written down until the disk takes something again."""
    if book.only_reads:
        click.echo(f"Only reading: {book.cannot_write}.\nPhones can read all of it; what they send waits in them. Mend "
                   f"the disk, then stop this with Ctrl-C and start it again.", err=True)


def _echo_breaking(book: SiteBook) -> None:
    """First of all, that the way of raising is computed to break, if it is."""
    line = breaking_line(book.site.plan, book.site.kit.design)
    if line:
        click.echo(line)


def _run(folder: Path, book: SiteBook, where: tuple[str, int, int | None], *, chief_phrase: str | None,
         browser: bool, also: Path | None = None, practice: bool = False) -> None:
    """`where`: address, port, and port of HTTPS, if there is one."""
    from fieldapp.web.common.context import laptop_now
    from fieldapp.web.common.practice import CONFIG as PRACTICE_CONFIG
    from fieldapp.web.common.rights import Rights, chief_hash
    from fieldapp.web.common.sessions import Sessions
    from fieldapp.web.server import create_app  # the pages are loaded only by the commands that serve them
    from fieldapp.web.server.serve import serve as serve_pages

    (host, port, https_port), design = where, book.site.kit.design
    key = site_key(folder, keep=not book.only_reads)
    sessions = Sessions(folder / SESSIONS_FILE, now=laptop_now())
    held = Rights(key, chief_hash(folder, chief_phrase), sessions=sessions)
    printed = design.site.address
    with ExitStack() as beside:
        stick = beside.enter_context(_followed_by(folder, book, also)) if also is not None else None
        app = create_app(book, held=held, photos=folder / PHOTO_FOLDER, stick=stick)
        app.config[PRACTICE_CONFIG] = practice
        if https_port is not None:
            from fieldapp.web.server.https import also_https  # only this option needs the second server

            click.echo(beside.enter_context(also_https(app, folder, (printed, host, https_port))))
        serve_pages(app, port=port, host=host, printed_address=printed, name=design.frame.name,
                    join_code=key.join_code, report=click.echo, show=show_page if browser else None)


def show_page(address: str) -> None:
    """Open a page in this laptop's browser, where somebody sits before a screen; never in the terminal itself."""
    import webbrowser  # only here

    windows = sys.platform in ("win32", "darwin") or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if sys.stdout.isatty() and windows:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()


@contextmanager
def _followed_by(folder: Path, book: SiteBook, also: Path) -> Iterator[Stick]:
    """While inside, a stick follows the log, and the terminal says when it stands otherwise."""
    from fieldapp.web.common.context import laptop_now  # as the pages, which have just been loaded

    stick = Stick(book, folder, also, laptop_now)
    click.echo(f"The log is followed on {also}. Whoever has it can let phones join: keep it as you keep a key.")
    if stick.same_disk:
        click.echo(f"{also} lies on the disk of the log: it helps against a spoiled file, not against a dead laptop.")
    stick.start(lambda status: _tell_stick(status, laptop_now()))
    try:
        yield stick
    finally:
        _tell_stick(stick.close(), laptop_now())


def _tell_stick(status: StickStatus, now: datetime) -> None:
    for line in terminal_lines(status, now):
        click.echo(line, err=bool(status.fault))
