"""What a check found, in words."""

from fieldapp.base.words import _, figures
from fieldapp.log.entry import Entry
from fieldapp.log.kinds import CheckedData, CheckItem
from fieldapp.wording.place import joined


def outcome_words(entry: Entry) -> str:
    """"all passed", or what failed."""
    failed = failed_items(entry)
    return joined([item_words(item) for item in failed]) if failed else _("all passed")


def failed_items(entry: Entry) -> tuple[CheckItem, ...]:
    """Lines of a check that did not pass."""
    data = CheckedData.model_validate(dict(entry.data))
    return tuple(item for item in data.items if item.result == "fail")


def item_words(item: CheckItem) -> str:
    """"moisture 23 %", "ends, end 2: crushed"."""
    value = figures(f" {item.value:g} {item.unit}") if item.value is not None else ""
    where = _(", arm {arm}").format(arm=item.arm) if item.arm else ""
    where = _(", end {end}").format(end=item.end) if item.end else where
    return f"{_(item.item)}{value}{where}" + (f": {item.words}" if item.words else "")
