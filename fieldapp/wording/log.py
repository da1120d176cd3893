"""Entries of the log as sentences, and times as people say them."""

from datetime import datetime

from fieldapp.base.words import _
from fieldapp.kit.kit import Kit
from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import KINDS
from fieldapp.wording.check import outcome_words
from fieldapp.wording.kept_words import retold
from fieldapp.wording.mending import how_words
from fieldapp.wording.place import joined


def clock_words(at: datetime, now: datetime) -> str:
    """"10:14" today, "2026-09-12 10:14" on another day, in the laptop's time zone."""
    local, today = at.astimezone(), now.astimezone()
    return f"{local:%H:%M}" if local.date() == today.date() else f"{local:%Y-%m-%d %H:%M}"


def entry_words(entry: Entry, kit: Kit) -> str:
    """What happened: "OH-S073-C fitted at S073"."""
    writer = {"fitted": _fitted, "damaged": _damaged, "withdrawn": _withdrawn, "exchanged": _exchanged,
              "box_taken": _box_taken, "box_given_back": _box_given_back, "checked": _checked}.get(entry.kind)
    if writer:
        return writer(entry, kit)
    kind = KINDS.get(entry.kind)
    words = [entry.part or _("Kit"), _(kind.words) if kind and kind.words else entry.kind]
    said = _said(entry)
    return " ".join(words) + (f": {said}" if said else "")


def _fitted(entry: Entry, kit: Kit) -> str:
    words = _("{part} fitted at {place}").format(part=entry.part, place=entry.place or "?")
    early = entry.data.get("waits_for")
    if isinstance(early, list | tuple) and early:
        return _("{words}, before {places}").format(words=words, places=joined([str(name) for name in early]))
    return words


def _exchanged(entry: Entry, kit: Kit) -> str:
    return _("{part} is meant for {place} from now on").format(part=entry.part, place=entry.place or "?")


def _checked(entry: Entry, kit: Kit) -> str:
    return _("{part} checked: {what}").format(part=entry.part, what=outcome_words(entry))


def _box_taken(entry: Entry, kit: Kit) -> str:
    return _("box {box} taken to be inspected").format(box=entry.data.get("box", "?"))


def _box_given_back(entry: Entry, kit: Kit) -> str:
    words = _("box {box} given back by the chief") if entry.data.get("everyone") else _("box {box} given back")
    return words.format(box=entry.data.get("box", "?"))


def _withdrawn(entry: Entry, kit: Kit) -> str:
    reason = retold(str(entry.data.get("reason") or "no reason given"))
    return _("an entry taken back: {reason}").format(reason=reason)


def _damaged(entry: Entry, kit: Kit) -> str:
    name = str(entry.data.get("what", ""))
    part = kit.by_id.get(entry.part or "")     # not there for parts made since: the choice of either kind tells
    choice = damage_named(part.kind, name) if part else damage_named("hub", name) or damage_named("strut", name)
    parts = [_(choice.words) if choice else name]
    if entry.data.get("arm"):
        parts.append(_("arm {arm}").format(arm=entry.data["arm"]))
    if entry.data.get("end"):
        parts.append(_("end {end}").format(end=entry.data["end"]))
    if entry.data.get("words"):
        parts.append(str(entry.data["words"]))
    return _("{part} damaged: {what}").format(part=entry.part, what=", ".join(parts))


def _said(entry: Entry) -> str:
    """What else matters of other kinds: the bundle, how it was mended and by whom, free words."""
    writer = {"stored": _stored_words, "repaired": _repaired_words}.get(entry.kind)
    own = (str(entry.data[key]) for key in ("name", "reason", "words") if entry.data.get(key))
    return ", ".join([*(writer(entry) if writer else ()), *own])


def _stored_words(entry: Entry) -> list[str]:
    came_in = entry.data.get("came_in")
    return [_("in bundle {name}").format(name=entry.data.get("bundle", "?")),
            *(_(str(how)) for how in (came_in if isinstance(came_in, list | tuple) else ()))]


def _repaired_words(entry: Entry) -> list[str]:
    spots = [words.format(**{name: entry.data[name]})
             for name, words in (("arm", _("arm {arm}")), ("end", _("end {end}"))) if entry.data.get(name)]
    return [how_words(str(entry.data.get("how", ""))), *spots, str(entry.data.get("by", "?"))]
