"""Entries of the log as sentences."""

from collections.abc import Mapping

from fieldapp.base.said import Row, Said, Value, in_words, row, say
from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import KINDS
from fieldapp.log.state import State
from fieldapp.wording.check import outcome_said
from fieldapp.wording.mending import how_said


def entry_words(entry: Entry, state: State) -> str:
    """What happened: "OH-S073-C fitted at S073"."""
    return in_words(entry_said(entry, state))


def entry_said(entry: Entry, state: State) -> Said:
    """The same before it is put into words."""
    writer = {"fitted": _fitted, "damaged": _damaged, "withdrawn": _withdrawn, "exchanged": _exchanged,
              "box_taken": _box_taken, "box_given_back": _box_given_back, "checked": _checked}.get(entry.kind)
    if writer:
        return writer(entry, state)
    kind = KINDS.get(entry.kind)
    what = say("{id} {act}", id=entry.part or say("Kit"), act=kind.words if kind and kind.words else entry.kind)
    more = _more(entry)
    told = say("{what}: {words}", what=what, words=Row(more)) if more else what
    if kind and kind.chief and entry.laptop and not entry.chief:
        return say("{what}, from a phone that was not the chief's", what=told)
    return told


def _fitted(entry: Entry, state: State) -> Said:
    said = say("{part} fitted at {place}", part=str(entry.part), place=entry.place or "?")
    early = entry.data.get("waits_for")
    if isinstance(early, list | tuple) and early:
        return say("{words}, before {places}", words=said, places=row(map(str, early)))
    return said


def _exchanged(entry: Entry, state: State) -> Said:
    return say("{part} is meant for {place} from now on", part=str(entry.part), place=entry.place or "?")


def _checked(entry: Entry, state: State) -> Said:
    return say("{part} checked: {what}", part=str(entry.part), what=outcome_said(entry, state))


def _box_taken(entry: Entry, state: State) -> Said:
    return say("box {box} taken to be inspected", box=str(entry.data.get("box", "?")))


def _box_given_back(entry: Entry, state: State) -> Said:
    box = str(entry.data.get("box", "?"))
    return say("box {box} given back by the chief", box=box) if entry.data.get("everyone") else \
        say("box {box} given back", box=box)


def _withdrawn(entry: Entry, state: State) -> Said:
    return say("an entry taken back: {reason}", reason=str(entry.data.get("reason") or "") or say("no reason given"))


def _damaged(entry: Entry, state: State) -> Said:
    name = str(entry.data.get("what", ""))
    part = state.kit.by_id.get(entry.part or "")     # not there for parts made since: the choice of either kind tells
    choice = damage_named(part.kind, name) if part else damage_named("hub", name) or damage_named("strut", name)
    own = (str(entry.data["words"]),) if entry.data.get("words") else ()
    return say("{part} damaged: {what}", part=str(entry.part),
               what=Row((choice.words if choice else name, *_spots(entry), *own)))


def _spots(entry: Entry) -> tuple[Said, ...]:
    """The arm and the end that an entry names."""
    arm, end = entry.data.get("arm"), entry.data.get("end")
    return (*((say("arm {arm}", arm=str(arm)),) if arm else ()), *((say("end {end}", end=str(end)),) if end else ()))


def _more(entry: Entry) -> tuple[Value, ...]:
    """What else matters of other kinds: the bundle, how it was mended and by whom, free words."""
    writer = {"stored": _stored, "repaired": _repaired}.get(entry.kind)
    own = (str(entry.data[key]) for key in ("name", "reason", "words") if entry.data.get(key))
    return (*(writer(entry) if writer else ()), *own)


def _stored(entry: Entry) -> tuple[Value, ...]:
    came_in = entry.data.get("came_in")
    return (say("in bundle {name}", name=str(entry.data.get("bundle", "?"))),
            *(_CAME_IN.get(str(how), str(how)) for how in (came_in if isinstance(came_in, list | tuple) else ())))


_CAME_IN: Mapping[str, Said] = {"dry": say("dry"), "wet": say("wet"), "dirty": say("dirty"),
                                "damaged": say("damaged")}


def _repaired(entry: Entry) -> tuple[Value, ...]:
    return (how_said(str(entry.data.get("how", ""))), *_spots(entry), str(entry.data.get("by", "?")))
