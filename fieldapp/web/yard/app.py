"""Puts a yard together: the yard's own pages, and below them one application for each kit."""

from collections.abc import Sequence
from http import HTTPStatus
from pathlib import Path

from flask import Flask, render_template
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from fieldapp.base.static_files import static_dir
from fieldapp.base.words import marked
from fieldapp.kit.site_key import SESSIONS_FILE, site_key
from fieldapp.log.baggage import PHOTO_FOLDER
from fieldapp.log.book import SiteBook
from fieldapp.plan.words import SAFETY
from fieldapp.web.cards.drawings import sign
from fieldapp.web.common import i18n, rights
from fieldapp.web.common.addresses import site_address
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.beside import Beside
from fieldapp.web.common.context import CLOCK, YEAR_S, Clock, language, laptop_now, remember_phones, theme, who
from fieldapp.web.common.i18n import _
from fieldapp.web.common.page import NEIGHBOURS
from fieldapp.web.common.sessions import Sessions
from fieldapp.web.server import create_app, packing, security, static_address
from fieldapp.web.server.serve import MOUNTED
from fieldapp.web.yard import between, front, home, join, labels, overview, spare, upkeep
from fieldapp.web.yard.gate import Gate
from fieldapp.web.yard.kits import EXTENSION, ShutKit, Yard, YardKit, names_of

PAGES = (front.bp, join.bp, labels.bp, spare.bp, between.bp, home.bp, overview.bp, upkeep.bp)
WORDS = {403: (marked("Not taken"), marked("This was sent by a page of another site. Open the page here and press "
                                           "there.")),
         404: (marked("No such page"), marked("Look at the label again, take a photo of it, or type its ID.")),
         421: (marked("Wrong address"), marked("This name does not belong to the site laptop. Use the address on the "
                                               "poster."))}


def yard_rights(folder: Path, books: Sequence[tuple[Path, SiteBook]], phrase: str | None) -> rights.Rights:
    """One join code, one pass phrase and one list of phones for all kits; posters of single kits are good as well.

    Raises
    ------
    ServeError, KitError
        If the yard's folder cannot keep them.
    """
    codes = tuple(site_key(place, keep=not book.only_reads).join_code for place, book in books)
    return rights.Rights(site_key(folder), rights.chief_hash(folder, phrase), also=codes,
                         sessions=Sessions(folder / SESSIONS_FILE, now=laptop_now()))


def create_yard(folder: Path, books: Sequence[tuple[Path, SiteBook]], held: rights.Rights, *,
                shut: Sequence[ShutKit] = (), clock: Clock = laptop_now, static_folder: Path | None = None) -> Flask:
    """The pages of all kits, as one WSGI application.

    Parameters
    ----------
    folder : Path
        Where the yard keeps what belongs to no kit.
    books : sequence of (Path, SiteBook)
        Folder and open book of each kit, one at least.
    held : Rights
        Shared by all of them.
    shut : sequence of ShutKit, optional
        Kits that could not be opened; the front page says so.
    """
    files = static_folder or static_dir()
    apps = [create_app(book, held=held, photos=place / PHOTO_FOLDER, clock=clock, static_folder=files)
            for place, book in books]
    names = names_of([book.site.kit.design.frame.prefix for _place, book in books])
    whole = Yard(folder, tuple(YardKit(name, place, book, app)
                               for name, (place, book), app in zip(names, books, apps, strict=True)), tuple(shut))
    app = Flask("fieldapp.web", static_folder=str(files), static_url_path=static_address(files))
    app.config["SEND_FILE_MAX_AGE_DEFAULT"] = YEAR_S
    app.config["MAX_CONTENT_LENGTH"] = 64 * 1024
    app.extensions.update({CLOCK: clock, EXTENSION: whole, BESIDE: Beside(), MOUNTED: tuple(apps)})
    packing.install(app)
    _prepare_templates(app)
    hosts = {site_address(book.site.kit.design.site.address).host for _place, book in books}
    security.guard(app, hosts)
    rights.install(app, held, join.not_joined)
    app.register_error_handler(HTTPException, _http)
    remember_phones(app)
    for blueprint in PAGES:
        app.register_blueprint(blueprint)
    for each in apps:
        each.extensions[NEIGHBOURS] = whole.neighbours
        security.also_known_as(each, hosts)
    app.wsgi_app = Gate(app.wsgi_app, whole)  # type: ignore[method-assign, assignment]
    return app


def _prepare_templates(app: Flask) -> None:
    """What every template of the yard's own may use."""
    i18n.install(app.jinja_env)
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.globals.update(sign=sign, safety=SAFETY)

    @app.before_request
    def _speak() -> None:
        i18n.use_language(language())

    @app.context_processor
    def _of_this_request() -> dict[str, object]:
        return {"theme": theme(), "who": who(), "language": language()}


def _http(error: HTTPException) -> ResponseReturnValue:
    code = error.code or 500
    if code < 400 or error.response is not None:
        return error
    title, line = (_(words) for words in WORDS.get(code, ("", "")))
    title = title or (HTTPStatus(code).phrase if code in set(HTTPStatus) else _("That did not work"))
    return render_template("yard/message.html", title=title, lines=[
        line or _("Go back, reload the page and try again.")]), code
