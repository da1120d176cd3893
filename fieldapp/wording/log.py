"""Entries of the log as sentences: what was written down, how checks came out, how parts were mended."""

from collections.abc import Mapping

from fieldapp.base.said import Number, Row, Said, Value, in_words, row, say
from fieldapp.kit.kit import Part, PartKind
from fieldapp.kit.numbering import short_name
from fieldapp.log.damage import damage_named
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import KINDS, CheckedData, CheckItem
from fieldapp.log.state import State
from fieldapp.log.steps import parts_of
from fieldapp.log.wanted import days_said

_CAME_IN: Mapping[str, Said] = {"dry": say("dry"), "wet": say("wet"), "dirty": say("dirty"),
                                "damaged": say("damaged")}


def repairs(kind: PartKind) -> tuple[tuple[str, Said], ...]:
    """(name in the log, what it is called) of the ways to mend a hub or a strut."""
    if kind == "hub":
        return (("cleat_and_glue", say("cleat and glue")), ("replaced_arm", say("arm replaced")),
                ("scarf", say("scarf joint")), ("dried", say("dried")), ("other", say("something else")))
    return (("scarf", say("scarf joint")), ("sleeve", say("sleeve over it")), ("replaced_end", say("end replaced")),
            ("cleat_and_glue", say("cleat and glue")), ("dried", say("dried")), ("other", say("something else")))


def how_said(name: str) -> Value:
    """One of them for people to read; the name itself if there is no such way."""
    return {**dict(repairs("hub")), **dict(repairs("strut"))}.get(name, name)


def spots_mended(state: State, part: Part) -> int | None:
    """The arm or end of the only open defect, to be chosen already; None if there is none, or are several."""
    spots = {defect.arm if part.kind == "hub" else defect.end
             for defect in state.parts[part.id].defects if not defect.mended}
    return spots.pop() if len(spots) == 1 else None


def outcome_words(entry: Entry, state: State) -> str:
    """"all passed", or what failed."""
    return in_words(outcome_said(entry, state))


def outcome_said(entry: Entry, state: State) -> Value:
    """The same before it is put into words."""
    failed = failed_items(entry)
    return row(item_said(item, state, entry) for item in failed) if failed else say("all passed")


def failed_items(entry: Entry) -> tuple[CheckItem, ...]:
    """Lines of a check that did not pass."""
    data = CheckedData.model_validate(dict(entry.data))
    return tuple(item for item in data.items if item.result == "fail")


def item_words(item: CheckItem, state: State, entry: Entry) -> str:
    """"moisture 23 %", "ends, end 2: crushed"; `entry` is the check that it belongs to."""
    return in_words(item_said(item, state, entry))


def item_said(item: CheckItem, state: State, entry: Entry) -> Value:
    """The same before it is put into words."""
    said = line_said(state, entry, item.item)
    if item.value is not None:
        said = Row((said, Number(item.value, None, item.unit)), " ")
    if item.end or item.arm:
        said = Row((said, say(", end {end}", end=item.end) if item.end else say(", arm {arm}", arm=item.arm or "")), "")
    return say("{what}: {words}", what=said, words=item.words) if item.words else said


def line_said(state: State, entry: Entry, item: str) -> Value:
    """A line of the list that a check went by, for people to read; the name itself if that list is not known."""
    chosen = next((past for past in state.rounds if past.key == entry.data.get("round")), None)
    return chosen.item_said(state.part(str(entry.part)).kind, item) if chosen else item


def entry_words(entry: Entry, state: State) -> str:
    """What happened: "OH-S073-C fitted at S073"."""
    return in_words(entry_said(entry, state))


def entry_said(entry: Entry, state: State) -> Said:
    """The same before it is put into words."""
    writer = {"fitted": _fitted, "damaged": _damaged, "withdrawn": _withdrawn, "exchanged": _exchanged,
              "box_taken": _box_taken, "box_given_back": _box_given_back, "checked": _checked, "feet_held": _feet_held,
              "feet_freed": _feet_freed, "exchange_begun": _exchange_begun,
              "step_done": _step, "duty_taken": _duty, "duty_left": _duty_left,
              "wind_read": _wind_read, "raise_started": _raise_started,
              "wanted": _wanted, "moved": _moved, "lent": _lent, "borrowed": _borrowed, "given_back": _given_back,
              "home_again": _home_again, "asked_for": _asked_for, "log_home": _log_home,
              }.get(entry.kind)
    if writer:
        return writer(entry, state)
    kind = KINDS.get(entry.kind)
    act = kind.words if kind and kind.words else entry.kind
    what = act if isinstance(act, Said) and not entry.part else \
        say("{id} {act}", id=entry.part or say("Kit"), act=act)     # of the whole site: "building stopped"
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


def _exchange_begun(entry: Entry, state: State) -> Said:
    held, place = entry.data.get("holds"), entry.place or "?"
    holds = row(map(str, held if isinstance(held, list | tuple) else ()))
    return say("exchange at {place} begun, held meanwhile: {hubs}", place=place, hubs=holds) if held else \
        say("exchange at {place} begun, nothing to hold", place=place)


def _checked(entry: Entry, state: State) -> Said:
    return say("{part} checked: {what}", part=str(entry.part), what=outcome_said(entry, state))


def _box_taken(entry: Entry, state: State) -> Said:
    return say("box {box} taken to be inspected", box=str(entry.data.get("box", "?")))


def _box_given_back(entry: Entry, state: State) -> Said:
    box = str(entry.data.get("box", "?"))
    return say("box {box} given back by the chief", box=box) if entry.data.get("everyone") else \
        say("box {box} given back", box=box)


def _wanted(entry: Entry, state: State) -> Said:
    days = days_said(str(entry.data.get("first", "?")), str(entry.data.get("last", "?")))
    said = say("kit wanted at {where}, {days}", where=str(entry.data.get("where", "?")), days=days)
    words = str(entry.data.get("words", ""))
    return say("{what}: {words}", what=said, words=words) if words else said


def _moved(entry: Entry, state: State) -> Said:
    where = str(entry.data.get("where", "?"))
    return say("kit is at {where} now, its log goes on there", where=where) if entry.data.get("own_log") else \
        say("kit is at {where} now", where=where)


def _other_kit(entry: Entry) -> str:
    return f"{entry.data.get('title', '?')} ({entry.data.get('kit', '?')})"


def _lent(entry: Entry, state: State) -> Said:
    return say("{part} lent to {kit}", part=str(entry.part), kit=_other_kit(entry))


def _borrowed(entry: Entry, state: State) -> Said:
    return say("{part} borrowed from {kit}", part=str(entry.part), kit=_other_kit(entry))


def _given_back(entry: Entry, state: State) -> Said:
    return say("{part} given back to {kit}", part=str(entry.part), kit=_other_kit(entry))


def _home_again(entry: Entry, state: State) -> Said:
    return say("{part} home again from {kit}", part=str(entry.part), kit=_other_kit(entry))


def _asked_for(entry: Entry, state: State) -> Said:
    return say("{part} asked of {kit}, whose log is away", part=str(entry.data.get("part", "?")), kit=_other_kit(entry))


def _log_home(entry: Entry, state: State) -> Said:
    return say("log given up as lost: {words}", words=str(entry.data.get("words", ""))) if entry.data.get("lost") else \
        say("log is home again")


def _feet(entry: Entry) -> Value:
    feet = entry.data.get("feet")
    return row(map(str, feet if isinstance(feet, list | tuple) else ()))


def _feet_held(entry: Entry, state: State) -> Said:
    feet = _feet(entry)
    return {"ballast": say("{feet} weighed down", feet=feet),
            "screwed anchors": say("{feet} anchored", feet=feet)}.get(
        str(entry.data.get("how")), say("{feet} pegged", feet=feet))


def _feet_freed(entry: Entry, state: State) -> Said:
    return say("{feet} let go: nothing keeps them in place now", feet=_feet(entry))


def _step(entry: Entry, state: State) -> Said:
    """By place and part only where these differ, so that a press reads as people say it."""
    pairs = parts_of(entry)
    scanned = entry.data.get("scanned")
    trusted = [part for _place, part in pairs if part not in (scanned if isinstance(scanned, list | tuple) else ())]
    own = state.kit.design.frame.prefix
    parts = row(short_name(part, own) for _place, part in pairs)
    if entry.data.get("act") == "taken_down":
        return say("{parts} taken out", parts=parts)
    said = say("{parts} fitted", parts=parts)
    early = entry.data.get("waits_for")
    if isinstance(early, list | tuple) and early:
        said = say("{words}, before {places}", words=said, places=row(map(str, early)))
    return say("{what} (by step, not scanned: {parts})", what=said,
               parts=row(short_name(part, own) for part in trusted)) if trusted else said


def _duty(entry: Entry, state: State) -> Said:
    at = str(entry.data.get("at", "?"))
    return say("{place} is held by hand", place=at) if entry.data.get("what") == "hold" else \
        say("step {place} taken in hand", place=at)


def _duty_left(entry: Entry, state: State) -> Said:
    at = str(entry.data.get("at", "?"))
    return say("{place} is held no longer", place=at) if entry.data.get("what") == "hold" else \
        say("step {place} given back", place=at)


def _wind_read(entry: Entry, state: State) -> Said:
    gust = entry.data.get("gust_m_s")
    said = say("gust of {speed} read", speed=Number(gust if isinstance(gust, int | float) else 0.0, 1, "m/s"))
    words = str(entry.data.get("words") or "")
    return say("{what}: {words}", what=said, words=words) if words else said


def _raise_started(entry: Entry, state: State) -> Said:
    name = str(entry.data.get("name") or "")
    if not entry.data.get("reason"):
        return say("raise started: {words}", words=name) if name else say("raise started")
    return say("raise {name} started though the kit was not fit; {who} answers for it: {reason}", name=name,
               who=entry.told("by"), reason=str(entry.data["reason"]))


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
    own = (entry.told(key) for key in ("name", "reason", "words") if entry.data.get(key))
    return (*(writer(entry) if writer else ()), *own)


def _stored(entry: Entry) -> tuple[Value, ...]:
    came_in = entry.data.get("came_in")
    return (say("in bundle {name}", name=str(entry.data.get("bundle", "?"))),
            *(_CAME_IN.get(str(how), str(how)) for how in (came_in if isinstance(came_in, list | tuple) else ())))


def _repaired(entry: Entry) -> tuple[Value, ...]:
    return (how_said(str(entry.data.get("how", ""))), *_spots(entry),
            entry.told("by") if entry.data.get("by") else "?")
