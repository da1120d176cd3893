"""The same answers as JSON, for scripts of the pages and for programs of the crew."""

import re
import zlib
from dataclasses import replace

from flask import Blueprint, Response, current_app, jsonify, request

from fieldapp.base.errors import StoreError
from fieldapp.base.remembered import remembered
from fieldapp.log.entry import Refusal
from fieldapp.log.rules import Site
from fieldapp.log.state import State
from fieldapp.web.common.context import language, site, standing, state, who
from fieldapp.web.common.forms import JsonRequest, json_requests
from fieldapp.web.common.i18n import in_words
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.phone import sender
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.standing import Standing
from fieldapp.web.common.trouble import trouble_words
from fieldapp.web.common.writing import submit
from fieldapp.web.server.errors import log_trouble
from fieldapp.web.server.json_view import entry_json, part_json, state_json

bp = Blueprint("api", __name__, url_prefix="/api")


@bp.get("/parts/<text>")
def part(text: str) -> Response:
    """Where a part goes and how it stands."""
    found = find_part(text)
    return jsonify(part_json(standing(), found.part, end=found.end))


@bp.get("/state")
def whole() -> Response:
    """Everything that stands, with an ETag; with `since=N` only what came after entry number N. And what is wrong."""
    now, speaking = state(), language()
    last = now.entries[-1].key if now.entries else ""
    since = entry_number(request.args.get("since", ""))
    trouble = "\n".join(trouble_words(site().book, site().clock()))
    tag = f"{now.last_number}-{last}-{since}-{speaking}-{zlib.crc32(trouble.encode())}"
    if request.if_none_match.contains(tag):
        answer = Response(status=304)
    else:
        answer = Response(_whole(site().book.site, now, since, speaking, trouble), mimetype="application/json")
    answer.set_etag(tag)
    return answer


def entry_number(text: str) -> int | None:
    """The number of an entry, or None if none was given.

    Examples
    --------
    >>> entry_number("1204"), entry_number(""), entry_number("1e3")
    (1204, None, None)
    """
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text, re.ASCII) else None


@remembered(16)
def _whole(of: Site, now: State, since: int | None, _language: str, trouble: str) -> str:
    """After an entry all phones ask for the same."""
    said = {**state_json(Standing(of.kit, of.plan, now), since=since), "trouble": trouble.splitlines()}
    return str(current_app.json.dumps(said))


@bp.post("/entries")
def entries() -> Response | tuple[Response, int]:
    """Submit entries in order; each is answered on its own, kept or refused.

    Where the log takes nothing more, the answer is 503, and still says of each whether it was kept.
    """
    wishes = json_requests(request.get_json(silent=True), who=who(), sender=sender())
    answers: list[dict[str, object]] = []
    try:
        for wish in wishes:
            answers.append(_answer(wish))
    except StoreError as error:
        title, *lines = log_trouble(error)
        said = {"kept": False, "message": lines[0], "code": f"log_{error.fault or 'fault'}"}
        answers += [{"key": wish.key, **said} for wish in wishes[len(answers):]]
        return jsonify({"error": title, "message": " ".join(lines), "answers": answers}), 503
    return jsonify({"answers": answers})


def _answer(wish: JsonRequest) -> dict[str, object]:
    if wish.request is None:
        return {"key": wish.key, "kept": False, "message": wish.problem, "code": "unreadable"}
    result = submit(replace(wish.request, chief=is_chief()))
    if isinstance(result, Refusal):
        said = in_words(result)
        return {"key": wish.key, "kept": False, "message": said.message, "what_next": said.what_next,
                "code": said.code}
    return {"key": wish.key, "kept": True, "entry": entry_json(result)}
