"""The rules of an open inspection round: a check, by the list and complete; and who has which box."""

from collections.abc import Iterable

from fieldapp.kit.checklist import Check, Checklist, limit_words, needed_items, result_of
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import BoxData, CheckedData, CheckItem
from fieldapp.log.rules.terms import Admitted, Asked, clock_words, no_such_spot, scrapped, short_name


def checked(asked: Asked, data: CheckedData) -> Admitted | Refusal:
    """Only in an open round. With a checklist, what is critical and what passes is read there, not sent."""
    if asked.past.condition == "scrapped":
        return scrapped(asked)
    current = asked.state.open_round
    if current is None:
        return refuse("no_round", "no inspection round is open, so the check of {part} cannot be kept.",
                      "Ask the chief to open a round.", part=short_name(asked.part.id))
    items: list[CheckItem] = []
    for item in data.items:
        judged = no_such_spot(asked, item.arm, item.end) or _judged(asked, item)
        if isinstance(judged, Refusal):
            return judged
        items.append(judged)
    lacking = _lacking(asked, items)
    if lacking:
        return refuse("incomplete", "the check of {part} lacks: {items}.", "Look at these too, then send again.",
                      part=short_name(asked.part.id), items=", ".join(lacking))
    return Admitted(asked.part.id, asked.past.fitted_at,
                    data.model_copy(update={"round": current.key, "items": tuple(items)}))


def _judged(asked: Asked, item: CheckItem) -> CheckItem | Refusal:
    """The item with its result, unit and weight as the list has them."""
    checklist = asked.checklist
    if checklist is None:
        return item
    check = checklist.check(asked.part.kind, item.item)
    if check is None:
        return refuse("no_such_item", "'{item}' is not on the list for a {kind}.", "On it are: {items}.",
                      item=item.item, kind=asked.part.kind, items=", ".join(_names(checklist.lines(asked.part.kind))))
    result = item.result
    if check.is_measured:
        if item.value is None:
            return refuse("which_value", "'{item}' of {part} needs a number.", "Measure it: {limits}.",
                          item=check.item, part=short_name(asked.part.id), limits=limit_words(check, asked.part))
        result = result_of(check, asked.part, item.value)
    refusal = _spot_missing(asked, check, item, result)
    return refusal or item.model_copy(update={"result": result, "unit": check.unit, "critical": check.critical,
                                              "label": check in checklist.label})


def _spot_missing(asked: Asked, check: Check, item: CheckItem, result: str) -> Refusal | None:
    named = {"arm": item.arm, "end": item.end, None: 0}[check.each]
    if result == "pass" or named is not None:
        return None
    return refuse("which_spot", "'{item}' of {part} failed, but at which {spot} is not said.",
                  "Say the {spot}; several of them are several lines.", item=check.item,
                  part=short_name(asked.part.id), spot=check.each)


def _lacking(asked: Asked, items: Iterable[CheckItem]) -> list[str]:
    """Lines of the list that always belong to a check and are not there."""
    checklist: Checklist | None = asked.checklist
    if checklist is None:
        return []
    there = {item.item for item in items}
    return [name for name in needed_items(checklist.lines(asked.part.kind)) if name not in there]


def _names(checks: Iterable[Check]) -> list[str]:
    return [check.item for check in checks]


def box_taken(asked: Asked, data: BoxData) -> Admitted | Refusal:
    """Any box by any number of people, each of whom has one at a time."""
    current = asked.state.open_round
    if current is None:
        return _no_round(data)
    own = [held for held in current.boxes if held.holder == asked.holder and held.box == data.box]
    if own:
        return refuse("have_it", "box '{box}' is yours already (since {time}).", "Scan what is in it.", box=data.box,
                      time=clock_words(own[0].since, asked.now))
    return Admitted(data=BoxData(box=data.box))


def box_given_back(asked: Asked, data: BoxData) -> Admitted | Refusal:
    """One's own; the chief gives back for whoever forgot to."""
    current = asked.state.open_round
    if current is None:
        return _no_round(data)
    holders = {held.holder for held in current.boxes if held.box == data.box}
    if not holders:
        return refuse("nobody_has_it", "nobody has box '{box}'.", "Nothing more to do.", box=data.box)
    if asked.holder not in holders and not asked.request.chief:
        return refuse("not_yours", "box '{box}' is not yours: {who} took it.",
                      "Ask them, or the chief, to give it back.", box=data.box,
                      who=", ".join(current.holders(data.box)))
    return Admitted(data=BoxData(box=data.box, everyone=asked.holder not in holders))


def _no_round(data: BoxData) -> Refusal:
    return refuse("no_round", "no inspection round is open, so nobody has box '{box}'.",
                  "Ask the chief to open a round.", box=data.box)
