"""The same answers as JSON, for scripts of the pages and for programs of the crew."""

import zlib
from dataclasses import replace

from flask import Blueprint, Response, current_app, jsonify, request

from fieldapp.base.errors import StoreError
from fieldapp.base.remembered import remembered
from fieldapp.kit.kit import Part
from fieldapp.log.duties import duties_mark
from fieldapp.log.entry import Entry, Refusal
from fieldapp.log.rules import Setting
from fieldapp.log.state import State
from fieldapp.reports.verdict import places_now
from fieldapp.web.cards.place_view import place_view, ring_lines
from fieldapp.web.cards.status import part_status, place_of
from fieldapp.web.common.alarm import alarm_mark
from fieldapp.web.common.context import SiteMoment, language, sender, site, standing, state, who
from fieldapp.web.common.forms import JsonRequest, entry_number, json_requests
from fieldapp.web.common.i18n import in_words
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.trouble import told_here
from fieldapp.web.common.writing import submit
from fieldapp.web.server.errors import log_trouble

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
    trouble = "\n".join(told_here())
    alarm, duties = alarm_mark(), duties_mark(now, site().clock())
    tag = f"{now.last_number}-{last}-{since}-{speaking}-{zlib.crc32(f'{alarm}/{duties}/{trouble}'.encode())}"
    if request.if_none_match.contains_weak(tag):
        answer = Response(status=304)
    else:
        by_clock = (("trouble", trouble), ("alarm", alarm), ("duties", duties))
        said = _whole(site().book.site, now, since, speaking, by_clock)
        answer = Response(said, mimetype="application/json")
    answer.set_etag(tag)
    return answer


@bp.get("/alarm")
def alarm() -> Response:
    """The mark of what stands above every page, for pages that show nothing else of what happens."""
    return jsonify({"alarm": alarm_mark()})


@remembered(16)
def _whole(of: Setting, now: State, since: int | None, _language: str, by_clock: tuple[tuple[str, str], ...]) -> str:
    """After an entry all phones ask for the same; until the clock changes what is told."""
    told: dict[str, object] = dict(by_clock)
    told["trouble"] = dict(by_clock)["trouble"].splitlines()
    said = {**state_json(SiteMoment(of, now), since=since), **told}
    return str(current_app.json.dumps(said))


@bp.post("/entries")
def entries() -> Response | tuple[Response, int]:
    """Submit entries in order; each is answered on its own, kept or refused.

    Where the log takes nothing more, the answer is 503, and still says of each whether it was kept.
    """
    wishes = json_requests(_sent(), who=who(), sender=sender())
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


def _sent() -> object:
    """The body as JSON; None if it is none, or lists in lists beyond all reason."""
    try:
        return request.get_json(silent=True)
    except RecursionError:
        return None


def _answer(wish: JsonRequest) -> dict[str, object]:
    if wish.request is None:
        return {"key": wish.key, "kept": False, "message": wish.problem, "code": "unreadable"}
    result = submit(replace(wish.request, chief=is_chief()))
    if isinstance(result, Refusal):
        return {"key": wish.key, "kept": False, "message": result.message, "what_next": result.what_next,
                "code": result.code}
    return {"key": wish.key, "kept": True, "entry": entry_json(result)}


def entry_json(entry: Entry) -> dict[str, object]:
    """One entry."""
    return {"number": entry.number, "key": entry.key, "kind": entry.kind, "part": entry.part, "place": entry.place,
            "who": entry.called, "at": entry.at.isoformat(), "data": _named(entry),
            "sent_at": entry.sent_at.isoformat() if entry.sent_at else None}


def _named(entry: Entry) -> dict[str, object]:
    """Its data, with those whom it names by name."""
    return {name: entry.names.get(value, value) if isinstance(value, str) else value
            for name, value in entry.data.items()}


def part_json(at: SiteMoment, part: Part, *, end: int | None) -> dict[str, object]:
    """One part, its place and its neighbours."""
    place = place_of(at.state, part.id)
    here = at.state.parts[part.id]
    status = part_status(at, part, place=place)
    return {"id": part.id, "kind": part.kind, "class": part.part_class, "spare": part.is_spare,
            "cut_length_mm": part.cut_length_mm, "mass_kg": part.mass_kg, "condition": here.condition,
            "missing": here.missing, "fitted_at": here.fitted_at, "by_step_not_scanned": here.not_scanned,
            "reasons": list(map(in_words, here.reasons)),
            "status": {"shape": status.shape, "word": status.word, "waits_for": list(status.waits_for)},
            "place": _place_json(at, place, end) if place else None}


def _place_json(at: SiteMoment, name: str, end: int | None) -> dict[str, object]:
    view, plan = place_view(at, name, end), at.plan
    return {"name": name, "headline": view.headline, "where": view.where, "ring": view.ring,
            "step": plan.step_for(name).number if name in plan.step_of else None,
            "neighbours": [{"place": n.name, "says": n.says, "fitted": at.state.is_fitted(n.name)}
                           for n in view.neighbours]}


def state_json(at: SiteMoment, *, since: int | None) -> dict[str, object]:
    """What stands now; with `since` the entries after that number in place of the whole."""
    state, rings = at.state, ring_lines(at)
    common: dict[str, object] = {
        "kit": at.kit.design.frame.prefix, "last_number": state.last_number,
        "may_go_now": [] if state.phase == "striking" else [
            one.place for one in places_now(at.setting, state) if one.usable and not state.is_fitted(one.place)],
        "rings": [{"ring": r.number, "words": r.words, "done": r.done, "total": r.total} for r in rings]}
    if since is not None:
        after = [entry_json(e) for e in state.entries if (e.number or 0) > since]
        return common | {"since": since, "entries": after}
    unsound = {part_id: p.condition for part_id, p in state.parts.items() if p.condition != "sound"}
    missing = sorted(part_id for part_id, p in state.parts.items() if p.missing)
    return common | {"fitted": dict(state.fitted), "allocation": dict(state.allocation), "conditions": unsound,
                     "missing": missing}
