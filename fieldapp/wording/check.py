"""What a check found, in words."""

from fieldapp.base.said import Number, Row, Value, in_words, row, say
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import CheckedData, CheckItem
from fieldapp.log.state import State


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
