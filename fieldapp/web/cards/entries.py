"""Entries: written down at a press, which ends in a redirect or a refusal with words; and as a page shows them."""

from dataclasses import dataclass, replace
from datetime import datetime

from flask import Blueprint, abort, redirect, request, url_for
from werkzeug.wrappers import Response

from fieldapp.base.clock import clock_words
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import KINDS
from fieldapp.log.steps import named_parts
from fieldapp.reports.verdict import places_now
from fieldapp.web.cards.status import place_of
from fieldapp.web.common.context import SiteMoment, sender, site, standing, state, who
from fieldapp.web.common.i18n import _, in_words
from fieldapp.web.common.lookup import find_part
from fieldapp.web.common.rights import is_chief
from fieldapp.web.common.writing import wish, write_down
from fieldapp.wording.log import entry_words

MOVING = frozenset({"fitted", "taken_down", "stored", "damaged", "step_done"})
"""Kinds after which something else may have to be held."""

bp = Blueprint("entries", __name__)
KINDS_OF_ACT = {"fitted": "fitted", "taken-down": "taken_down", "found": "found"}
"""The last part of the address → kind of entry."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Who looks at a page, from which phone, when."""

    now: datetime
    who: str = ""
    sender: str = ""
    chief: bool = False

    def may_take_back(self, entry: Entry) -> bool:
        """The chief any entry; others their own, unless it needs the chief's rights."""
        kind = KINDS.get(entry.kind)
        return self.chief or (self.wrote(entry) and not (kind and (kind.chief or kind.chief_takes_back)))

    def wrote(self, entry: Entry) -> bool:
        """True if the entry came from this phone, or, where no phone is known, from somebody of this name."""
        if entry.sender or self.sender:
            return entry.sender == self.sender
        return bool(entry.who) and entry.called == self.who


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry as it is shown."""

    key: str
    time: str
    who: str
    words: str
    part: str | None
    withdrawn: bool
    may_withdraw: bool
    damage: bool = False
    """True if it tells of damage: then there is an answer to it."""
    photo: str = ""
    erased: bool = False
    """True if its photo was erased on request."""
    about: str = ""
    """What it is about in a word or two: "H23 with 3 more"."""
    needs_reason: bool = False
    """True if it stands in a record that is signed: whoever takes it back says why."""


@dataclass(frozen=True, slots=True)
class Done:
    """What was just written down, and what to do now."""

    line: EntryLine
    moved: bool
    """True if the frame is another one now: then what to hold is said beside it."""
    next_place: str | None
    to_bundle: str | None = None
    """ID of a part that was taken down and lies loose."""
    loose_many: bool = False
    """True if several do: they go into bundles by a list with ticks."""


def done_view(at: SiteMoment, entry: Entry, reader: Reader) -> Done:
    """Read an entry back; after a fitting with which place comes next, near by first."""
    line, plan = entry_line(at, entry, reader), at.plan
    if entry.kind != "fitted" or entry.place not in plan.step_of:
        return _done_otherwise(at, entry, line)
    step = plan.step_for(entry.place)
    open_places = [place for place in places_now(at.setting, at.state) if place.usable]
    near = [place.place for place in open_places if place.step == step.number]
    return Done(line, True, next(iter((*near, *(place.place for place in open_places))), None))


def _done_otherwise(at: SiteMoment, entry: Entry, line: EntryLine) -> Done:
    """At the strike the part goes into a bundle, and the next one comes out."""
    coming_down = at.state.phase == "striking" and entry.kind in ("taken_down", "stored", "step_done")
    alone = coming_down and entry.kind != "step_done"
    following = next((one.place for one in places_now(at.setting, at.state)), None) if alone else None
    loose = entry.part if coming_down and entry.kind == "taken_down" else None
    return Done(line, entry.kind in MOVING, following, loose, loose_many=coming_down and entry.kind == "step_done")


def entry_line(at: SiteMoment, entry: Entry, reader: Reader) -> EntryLine:
    """One entry as it is shown; taking it back is offered to whoever may."""
    gone = entry.key in at.state.withdrawn
    by = in_words(entry.named) if entry.who or entry.sender else _("somebody")
    return EntryLine(key=entry.key, time=clock_words(entry.at, reader.now), who=by, words=_words(at, entry),
                     part=entry.part, withdrawn=gone, may_withdraw=reader.may_take_back(entry) and not gone,
                     damage=entry.kind == "damaged" and not gone, photo=str(entry.data.get("photo") or ""),
                     erased=entry.erased, about=_about(entry, at.kit.design.frame.prefix),
                     needs_reason=entry.kind == "checked")


def _about(entry: Entry, own: str) -> str:
    """The part, or the first of several."""
    feet = entry.data.get("feet")
    parts = [short_name(part, own) for part in (feet if isinstance(feet, list | tuple) else named_parts(entry))]
    if len(parts) < 2:
        return parts[0] if parts else entry.place or ""
    return _("{part} and {n} more").format(part=parts[0], n=len(parts) - 1)


def _words(at: SiteMoment, entry: Entry) -> str:
    """With what was taken back, where it is that."""
    target = at.state.index.get(str(entry.data.get("entry", ""))) if entry.kind == "withdrawn" else None
    words = entry_words(entry, at.state)
    return f"{words} · {entry_words(target, at.state)}" if target else words


def part_entries(at: SiteMoment, part_id: str, reader: Reader) -> tuple[EntryLine, ...]:
    """What was written down about a part and still counts, newest first."""
    entries = [at.state.index[key] for key in reversed(at.state.parts[part_id].entries) if key in at.state.index]
    return tuple(entry_line(at, entry, reader) for entry in entries)


@bp.post("/P/<text>/<act>")
def write(text: str, act: str) -> Response | tuple[str, int]:
    """Fitted, taken down or found, at a press of a button on the part page."""
    kind = KINDS_OF_ACT.get(act)
    if kind is None:
        abort(404)
    part = find_part(text).part
    asked, sure = wish(kind, part.id), request.form.get("sure") == "yes"
    if kind == "fitted":
        place = request.form.get("place") or place_of(state(), part.id)
        asked = replace(asked, place=place, data={"exchange": request.form.get("exchange") == "yes", "sure": sure})
    elif kind == "taken_down":
        asked = replace(asked, data={"sure": sure})
    return write_down(asked, url_for("part.page", text=part.id))


@bp.get("/P/<text>/<act>")
def again(text: str, act: str) -> Response:
    """A phone that reopens the tab of a refusal: back to the part."""
    return redirect(url_for("part.page", text=text), 303)


def done() -> Done | None:
    """The entry that `?done=` names, to be read back to the person who made it, and what comes next."""
    entry = state().index.get(request.args.get("done", ""))
    if entry is None or entry.key in state().withdrawn:
        return None
    return done_view(standing(), entry, reader())


def reader() -> Reader:
    """Who looks at this page, from which phone, with which rights, now."""
    return Reader(site().clock(), who(), sender(), is_chief())
