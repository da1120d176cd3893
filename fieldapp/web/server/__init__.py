"""Puts the pages together: one application for one site book."""

import hashlib
from pathlib import Path

from flask import Flask

from fieldapp.base.said import listed
from fieldapp.base.static_files import static_dir
from fieldapp.log.book import SiteBook
from fieldapp.log.duties import duties_mark
from fieldapp.log.stick import Stick
from fieldapp.photos.limits import MAX_PHOTO_BYTES
from fieldapp.plan.words import SAFETY
from fieldapp.web import log
from fieldapp.web.board import PAGES as BOARD
from fieldapp.web.cards import entries, foreseen, turning
from fieldapp.web.cards.drawings import Drawer, sign
from fieldapp.web.cards.fitness import against_start
from fieldapp.web.cards.gust import gust_words
from fieldapp.web.cards.holding import holds_now
from fieldapp.web.cards.place_view import dial_arms
from fieldapp.web.common import alarm, i18n, offers, page, practice, rights
from fieldapp.web.common.addresses import site_address
from fieldapp.web.common.beside import EXTENSION as BESIDE
from fieldapp.web.common.beside import Beside
from fieldapp.web.common.context import (
    CLOCK,
    EXTENSION,
    PATIENCE,
    YEAR_S,
    Clock,
    Site,
    language,
    laptop_now,
    remember_phones,
    site,
    state,
    theme,
    who,
)
from fieldapp.web.common.forms import new_key
from fieldapp.web.common.trouble import told_here
from fieldapp.web.damage import PAGES as DAMAGE
from fieldapp.web.dates import PAGES as DATES
from fieldapp.web.inspection import PAGES as INSPECTION
from fieldapp.web.parts import PAGES as PARTS
from fieldapp.web.phone import PAGES as PHONE
from fieldapp.web.phone import join
from fieldapp.web.photos import PAGES as PHOTOS
from fieldapp.web.raising import PAGES as RAISING
from fieldapp.web.raising.stage_now import stage_now
from fieldapp.web.readiness import PAGES as READINESS
from fieldapp.web.server import api, errors, packing, security
from fieldapp.web.server.unchanged import Unchanged
from fieldapp.wording.breaking import breaking_line
from fieldapp.wording.facing import facing
from fieldapp.wording.place import sentence

PAGES = (*RAISING, *PARTS, entries.bp, turning.bp, *DAMAGE, *INSPECTION, *READINESS, log.bp, *PHOTOS, *PHONE, *BOARD,
         *DATES, api.bp)
"""The blueprints of all rooms."""
ALONE_S = 8.0
"""Patience of a page that nobody else waits behind; `serve` grants less."""
FORM_MARGIN_BYTES = 64 * 1024
"""What a form takes besides the photo itself."""


def create_app(book: SiteBook, *, static_folder: Path | None = None, clock: Clock = laptop_now,
               held: rights.Rights | None = None, photos: Path | None = None, stick: Stick | None = None) -> Flask:
    """The pages of one site book, as a WSGI application.

    Parameters
    ----------
    book : SiteBook
        Kit, plan and log; open for as long as the application runs.
    static_folder : Path, optional
        Style sheets and scripts; found by itself if not given.
    clock : callable, optional
        Gives the time with its zone.
    held : Rights, optional
        Join code and pass phrase; without it a code by chance, and only the laptop is the chief.
    photos : Path, optional
        Folder for photos of damage, beside the log; without it none are taken.
    stick : Stick, optional
        What follows the log on another disk; the chief's pages say how it stands.
    """
    files = static_folder or static_dir()
    app = Flask("fieldapp.web", static_folder=str(files), static_url_path=static_address(files))
    app.config["MAX_CONTENT_LENGTH"] = MAX_PHOTO_BYTES + FORM_MARGIN_BYTES
    app.config["SEND_FILE_MAX_AGE_DEFAULT"] = YEAR_S
    app.config[PATIENCE] = ALONE_S
    app.extensions[EXTENSION] = Site(book, clock, photos, stick)
    app.extensions[CLOCK] = clock
    app.extensions[BESIDE] = Beside()
    book.judge_starts(against_start)
    printed = site_address(book.site.kit.design.site.address).host
    packing.install(app)
    _prepare_templates(app, book)       # first, so that whoever is refused is answered in their language
    app.wsgi_app = Unchanged(app.wsgi_app, book)  # type: ignore[method-assign, assignment]
    security.guard(app, {printed})
    rights.install(app, held or rights.Rights(), join.not_joined)
    practice.install(app)
    offers.install(app)
    errors.install(app)
    remember_phones(app)
    foreseen.install(app, book)
    for blueprint in PAGES:
        app.register_blueprint(blueprint)
    return app


def _prepare_templates(app: Flask, book: SiteBook) -> None:
    """What every template may use."""
    design, frame = book.site.kit.design, book.site.kit.frame
    i18n.install(app.jinja_env)
    page.install(app)
    turning.install(app)
    alarm.install(app)
    app.jinja_env.globals.update(
        kit_name=design.frame.name, wifi_name=design.site.wifi_name, safety=SAFETY, new_key=new_key,
        newest=lambda: state().last_number, sentence=sentence, listed=listed, draw=Drawer(frame), sign=sign,
        shape_words=frame.words, made_at=lambda: f"{site().clock():%H:%M}",
        duties_mark=lambda: duties_mark(state(), site().clock()),
        stage_of=lambda: stage_now(book.site, state()),
        holds_now=holds_now, dials=lambda view: dial_arms(frame, view.name), dials_seen=facing(frame).seen)

    @app.before_request
    def _speak() -> None:
        i18n.use_language(language())

    @app.context_processor
    def _of_this_request() -> dict[str, object]:
        return {"state": state(), "theme": theme(), "who": who(), "language": language(), "here": "",
                "laptop_trouble": told_here(), "way_breaks": breaking_line(book.site.plan, design),
                "gust": gust_words(book.site, state())}


def static_address(folder: Path) -> str:
    """Where phones fetch them: the address changes with their bytes, so that a phone may keep them for good.

    Scripts name each other relative to their own address, and so share it.
    """
    digest = hashlib.sha256()
    for path in sorted(path for path in folder.iterdir() if path.is_file()):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return f"/static/{digest.hexdigest()[:12]}"
