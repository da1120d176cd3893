"""The same answers as JSON, for scripts of the pages and for programs of the crew."""

from dataclasses import replace

from flask import Blueprint, Response, jsonify, request

from fieldapp.log.entry import Refusal
from fieldapp.web.context import standing, state, who
from fieldapp.web.forms import JsonRequest, json_requests, number_or_none
from fieldapp.web.i18n import in_words
from fieldapp.web.json_view import entry_json, part_json, state_json
from fieldapp.web.lookup import find_part
from fieldapp.web.phone import sender
from fieldapp.web.rights import is_chief
from fieldapp.web.writing import submit

bp = Blueprint("api", __name__, url_prefix="/api")


@bp.get("/parts/<text>")
def part(text: str) -> Response:
    """Where a part goes and how it stands."""
    found = find_part(text)
    return jsonify(part_json(standing(), found.part, end=found.end))


@bp.get("/state")
def whole() -> Response:
    """Everything that stands, with an ETag; with `since=N` only what came after entry number N."""
    now = state()
    last = now.entries[-1].key if now.entries else ""
    since = number_or_none(request.args.get("since", ""))
    tag = f"{now.last_number}-{last}-{since}"
    if request.if_none_match.contains(tag):
        answer = Response(status=304)
    else:
        answer = jsonify(state_json(standing(), since=since))
    answer.set_etag(tag)
    return answer


@bp.post("/entries")
def entries() -> Response:
    """Submit entries in order; each is answered on its own, kept or refused."""
    wishes = json_requests(request.get_json(silent=True), who=who(), sender=sender())
    return jsonify({"answers": [_answer(wish) for wish in wishes]})


def _answer(wish: JsonRequest) -> dict[str, object]:
    if wish.request is None:
        return {"key": wish.key, "kept": False, "message": wish.problem, "code": "unreadable"}
    result = submit(replace(wish.request, chief=is_chief()))
    if isinstance(result, Refusal):
        said = in_words(result)
        return {"key": wish.key, "kept": False, "message": said.message, "what_next": said.what_next,
                "code": said.code}
    return {"key": wish.key, "kept": True, "entry": entry_json(result)}
