"""From a request to an entry: the same door for every kind, then the rule of the kind."""

import json
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from fieldapp.base.clock import in_this_age, utc_ms
from fieldapp.base.said import Said, say
from fieldapp.log.effects_loans import OF_ELSEWHERE
from fieldapp.log.entry import Entry, Refusal, Request, refuse
from fieldapp.log.fields import Data
from fieldapp.log.kinds import KINDS, Kind
from fieldapp.log.rules import (
    alarm,
    checking,
    codes,
    course,
    damage,
    dates,
    duties,
    exchanging,
    feet,
    fitting,
    loans,
    steps,
    stock,
    withdrawing,
)
from fieldapp.log.rules.terms import Admitted, Asked, Rule, Setting
from fieldapp.log.state import State

RULES: dict[str, Rule] = {
    "fitted": fitting.fitted, "taken_down": fitting.taken_down, "exchanged": fitting.exchanged,
    "damaged": damage.damaged, "repaired": damage.repaired, "released": damage.released,
    "scrapped": damage.scrapped_for_good, "withdrawn": withdrawing.withdrawn,
    "code_kept": codes.code_kept, "measured": codes.measured,
    "missing": stock.missing, "found": stock.found, "label_reprinted": stock.label_reprinted,
    "made": stock.made, "stored": stock.stored, "checked": checking.checked,
    "raise_started": course.raise_started, "raise_ended": course.raise_ended,
    "strike_started": course.strike_started, "way_chosen": course.way_chosen,
    "joined": course.joined, "round_opened": course.round_opened, "round_closed": course.round_closed,
    "step_done": steps.step_done, "duty_taken": duties.duty_taken, "duty_left": duties.duty_left,
    "exchange_begun": exchanging.exchange_begun, "exchange_ended": exchanging.exchange_ended,
    "feet_held": feet.feet_held, "feet_freed": feet.feet_freed,
    "stopped": alarm.stopped, "stop_seen": alarm.stop_seen, "stop_lifted": alarm.stop_lifted,
    "wind_read": alarm.wind_read, "wanted": dates.wanted, "moved": dates.moved,
    "lent": loans.lent, "borrowed": loans.borrowed, "given_back": loans.given_back,
    "home_again": loans.home_again, "asked_for": loans.asked_for, "log_home": loans.log_home,
    "box_taken": checking.box_taken, "box_given_back": checking.box_given_back,
}
"""By kind; one for each in `log.kinds`."""


def decide(site: Setting, state: State, request: Request, now: datetime) -> Entry | Refusal:
    """The entry that a request becomes, or why it does not.

    Parameters
    ----------
    site : Setting
        Kit and plan.
    state : State
        As the log stands.
    request : Request
    now : datetime
        Server time with its zone; times in messages are said in this zone.

    Returns
    -------
    Entry or Refusal
        For a key that the log holds already: the entry it holds, whatever the request says.
    """
    if not _is_text(request):
        return refuse("bad_text", "the request holds something that is no text.", "Load the page again and repeat.")
    request = tidied(request)
    known = state.index.get(request.key)
    if known is not None:
        return known
    kind = KINDS.get(request.kind)
    if kind is None:
        return refuse("unknown_kind", "there is no entry of kind '{kind}'.", "Known are: {known}.",
                      kind=request.kind[:40], known=", ".join(KINDS))
    data = _sender_trouble(request) or _part_trouble(state, request, kind) or _read_data(request, kind)
    if isinstance(data, Refusal):
        return data
    asked = Asked(site, state, request, now)
    if kind.about == "part" and kind.name not in OF_ELSEWHERE and asked.past.away is not None:
        return loans.elsewhere(asked)
    admitted = RULES[kind.name](asked, data)
    return admitted if isinstance(admitted, Refusal) else _entry(state, request, admitted, now)


def prepare(site: Setting, state: State, request: Request, now: datetime) -> None:
    """Work out, and keep, what the rule will ask for and takes long, before anybody has to wait for this request."""
    if request.kind == "raise_started" and request.chief and site.unfit and state.running_raise is None:
        site.unfit(site, state, now)
    way = request.data.get("way") if request.kind == "way_chosen" and request.chief else None
    if isinstance(way, str):
        course.way_refused(site.kit, way)


def _sender_trouble(request: Request) -> Refusal | None:
    if not 1 <= len(request.key) <= 80:
        return refuse("bad_key", "an entry needs a key of 1 to 80 characters, got {count}.",
                      "Load the page again and repeat.", count=len(request.key))
    if len(request.who) > 80:
        return refuse("bad_name", "the name of the sender may have 80 characters, got {count}.", "Shorten it.",
                      count=len(request.who))
    return None


def _is_text(request: Request) -> bool:
    """False for anything but text, for a key that is no line, and for half characters, which no page can hold."""
    optional = [request.part, request.place]
    texts = [request.key, request.kind, request.who, request.sender, *(text for text in optional if text is not None)]
    if not all(isinstance(text, str) for text in texts) or breaks_lines(request.key):
        return False
    try:
        one_line(request.data)
        json.dumps([*texts, dict(request.data)], ensure_ascii=False, default=str).encode()
    except (UnicodeEncodeError, TypeError, ValueError, RecursionError):
        return False
    return True


def _part_trouble(state: State, request: Request, kind: Kind) -> Refusal | None:
    if kind.chief and not request.chief:
        return refuse("chief_only", "'{words}' needs the chief's rights.", "Ask the chief, or enter the pass phrase.",
                      words=kind.words)
    if kind.about == "part" and request.part is None:
        return refuse("which_part", "'{words}' needs a part.", "Scan it or type its ID.", words=kind.words)
    if kind.about == "part" and request.part not in state.parts:
        return refuse("no_part", "{part} is not a part of this kit.", "Scan it again or type its ID.",
                      part=str(request.part)[:40])
    return None


def _read_data(request: Request, kind: Kind) -> Data | Refusal:
    """The data as its record; an empty field of a form counts as not filled in."""
    try:
        return kind.data.model_validate({name: value for name, value in request.data.items() if value != ""})
    except ValidationError as error:
        first = error.errors()[0]
    name = ".".join(str(piece) for piece in first["loc"]) or "data"
    if first["type"] in ("missing", "string_too_short"):
        return refuse("data_missing", "'{words}' needs: {name}.", "Fill it in and send again.", words=kind.words,
                      name=_FIELDS.get(name, name))
    return refuse("bad_data", "'{words}' cannot take {name} = {value}: {why}.", "Change it and send again.",
                  words=kind.words, name=_FIELDS.get(name, name), value=repr(first.get("input"))[:60],
                  why=_lower(first["msg"]))


_FIELDS: dict[str, Said] = {said.template: said for said in (
    say("box"), say("bundle"), say("by"), say("code"), say("feet"), say("first"), say("how"), say("item"),
    say("items"), say("kind"), say("last"), say("name"), say("part_class"), say("places"), say("reason"),
    say("what"), say("way"), say("where"))}
"""What a kind of entry may need besides, by the name of its field."""


def _entry(state: State, request: Request, admitted: Admitted, now: datetime) -> Entry:
    at, sent_at = utc_ms(now), request.sent_at
    now_ms = round(at.timestamp() * 1000)
    return Entry(key=request.key, kind=request.kind, part=admitted.part, place=admitted.place,
                 who=request.who.strip(), at=at, sent_at=utc_ms(sent_at) if sent_at and in_this_age(sent_at) else None,
                 data=one_line(admitted.data.model_dump(mode="json")), sender=request.sender,
                 order_ms=max(now_ms, state.last_ms + 1), answers=admitted.answers, chief=request.chief)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


_BREAKS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
"""Control characters, and the separators of lines and paragraphs: all that any reader of files may end a line at."""


def breaks_lines(text: str) -> bool:
    """True if it holds a character that may end a line."""
    return _BREAKS.search(text) is not None


def one_line(value: Any) -> Any:
    """The same value with a blank in place of each run of such characters, in every text in it, however deep.

    Examples
    --------
    >>> one_line({"words": "split\\u2028along the grain", "items": ["a\\r\\nb", 3]})
    {'words': 'split along the grain', 'items': ['a b', 3]}
    """
    if isinstance(value, str):
        return _BREAKS.sub(" ", value)
    if isinstance(value, Mapping):
        return {key: one_line(item) for key, item in value.items()}
    return [one_line(item) for item in value] if isinstance(value, list | tuple) else value


def tidied(request: Request) -> Request:
    """The request with its words on one line; its key stays, since the same key twice counts once."""
    return Request(request.key, one_line(request.kind), one_line(request.part), one_line(request.place),
                   one_line(request.who), request.sent_at, one_line(request.data), request.chief,
                   one_line(request.sender), request.seen)
