"""A kit comes home: its log is looked at, then joined; refused days and contradictions are shown before and after."""

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from fieldapp.base.errors import RaisebookError, StoreError
from fieldapp.base.said import say
from fieldapp.kit.atomic import write_atomic
from fieldapp.log.backup import Brought, read_export
from fieldapp.log.baggage import erase_photos
from fieldapp.log.entry import Refusal
from fieldapp.log.joining import Review, check_entries, join, review
from fieldapp.log.opening import follow_way
from fieldapp.log.state import State
from fieldapp.web.common.context import clock_now, tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, new_key
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.web.common.rights import is_chief
from fieldapp.web.yard import pooling
from fieldapp.web.yard.kits import YardKit, yard
from fieldapp.web.yard.spare import chief_only, refused
from fieldapp.wording.joining import review_said
from fieldapp.wording.log import entry_words

bp = Blueprint("home", __name__)

MOST_BYTES = 12 * 1024 * 1024
"""Of an exported log that is sent by a page; a longer one is joined at the terminal."""
WAITING = "coming-home"
"""Folder of the yard in which lines lie between the review and the answer."""
LOOKS = {"new": "fitted", "stop": "stop", "mind": "waits"}


@dataclass(frozen=True, slots=True)
class HomeLine:
    """One thing that joining would bring, as it is shown."""

    look: str
    words: str


@bp.get("/coming-home/<name>")
def page(name: str) -> str:
    """How it is done, and the field for the file."""
    kit = _kit(name)
    return render_template("yard/home.html", kit=kit, away=kit.book.state.log_away, heard=_heard(kit),
                           chief=is_chief(), joined=request.args.get("joined", ""), clashes=_clashes(kit))


@bp.post("/coming-home/<name>")
def look(name: str) -> ResponseReturnValue:
    """What would come in; nothing is kept but the file itself, until somebody answers."""
    kit = _kit(name)
    request.max_content_length = MOST_BYTES
    sent = request.files.get("lines")
    if not is_chief():
        return refused(chief_only(), url_for("home.page", name=kit.name))
    content = sent.stream.read() if sent is not None else b""
    digest = hashlib.sha256(content).hexdigest()
    try:
        found = _reviewed(kit, content)[1]
        write_atomic(_waiting(kit, digest), content, secret=True)
    except (RaisebookError, UnicodeDecodeError) as error:
        return _not_read(kit, error)
    return _shown(kit, found, digest)


@bp.post("/coming-home/<name>/take")
def take(name: str) -> ResponseReturnValue:
    """Take in what was looked at; what is refused in it shows afterwards."""
    kit, path = _kit(name), None
    if not is_chief():
        return refused(chief_only(), url_for("home.page", name=kit.name))
    try:
        path = _waiting(kit, request.form.get("digest", ""))
        brought, found = _reviewed(kit, path.read_bytes())
        if found.gaps and not request.form.get("with_gaps"):
            return _shown(kit, found, path.stem)
        new = join(kit.book, brought, found, clock_now())
        follow_way(kit.book)
        erase_photos(kit.folder, kit.book.names.forgotten)
    except (RaisebookError, OSError, UnicodeDecodeError) as error:
        return _not_read(kit, error)
    path.unlink(missing_ok=True)
    return redirect(url_for("home.page", name=kit.name, joined=new), 303)


@bp.post("/coming-home/<name>/over")
def over(name: str) -> ResponseReturnValue:
    """Its log is one again; or lost, with what it held."""
    kit, lost = _kit(name), bool(request.form.get("lost"))
    if not is_chief():
        return refused(chief_only(), url_for("home.page", name=kit.name))
    away = kit.book.state.log_away
    words = tidy(request.form.get("words", ""), MAX_WORDS_CHARS)
    answer = pooling.ask_log(kit, f"{away.entry if away else new_key()}-home", "log_home",
                             data={"lost": lost, "words": words})
    return refused(answer, url_for("home.page", name=kit.name)) if isinstance(answer, Refusal) else \
        redirect(url_for("yard.page"), 303)


def _reviewed(kit: YardKit, content: bytes) -> tuple[Brought, Review]:
    """The lines, read at the door as every log is, and what joining them would do."""
    book = kit.book
    brought = read_export(content.decode("utf-8-sig").split("\n"), book.site.kit)
    check_entries(brought.entries, book.site.kit, clock_now())
    brought = brought.without(book.names)
    return brought, review(book.state, brought, book.laptops)


def _shown(kit: YardKit, found: Review, digest: str) -> str:
    lines = tuple(HomeLine(LOOKS[line.look], in_words(line.said))
                  for line in review_said(found, kit.book.state, clock_now()))
    return render_template("yard/review.html", kit=kit, lines=lines, digest=digest, new=bool(found.new),
                           gaps=bool(found.gaps))


def _not_read(kit: YardKit, error: Exception) -> tuple[str, int]:
    why = error.message if isinstance(error, RaisebookError) else _("the file is not text, or is gone")
    if isinstance(error, StoreError):
        why = str(error)
    return refused(Refusal(why, say("Choose a file made by: raisebook log export")),
                   url_for("home.page", name=kit.name))


def _heard(kit: YardKit) -> bool:
    """True if anything is known here that another laptop wrote since the kit left."""
    state: State = kit.book.state
    since = state.index.get(state.log_away.entry) if state.log_away else None
    return since is not None and any(entry.laptop != since.laptop and entry.at >= since.at for entry in state.entries)


def _clashes(kit: YardKit) -> tuple[str, ...]:
    """What had no effect in this kit's log, since another laptop's came first."""
    state = kit.book.state
    found = state.clashes
    lines = [f"{entry_words(state.index[clash.key], state)}: {in_words(clash.words)}" for clash in found[-12:]]
    more = len(found) - len(lines)
    return (*lines, ngettext("and {n} more", "and {n} more", more).format(n=more)) if more else tuple(lines)


def _waiting(kit: YardKit, digest: str) -> Path:
    if not re.fullmatch(r"[0-9a-f]{64}", digest):
        abort(404)
    return yard().folder / WAITING / kit.name / f"{digest}.jsonl"


def _kit(name: str) -> YardKit:
    found = yard().named(name)
    if found is None:
        abort(404)
    return found
