"""The rules of an open inspection round: a check, by the list and complete; and who has which box."""

from collections.abc import Iterable

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Number, Row, Value
from fieldapp.kit.checklist import Check, Checklist, limits_said, needed_lines, possible_of, result_of
from fieldapp.kit.checklist_lines import item_said
from fieldapp.kit.kit import kind_said
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds import BoxData, CheckedData, CheckItem
from fieldapp.log.rules.terms import Admitted, Asked, no_such_spot, scrapped, spot_said


def checked(asked: Asked, data: CheckedData) -> Admitted | Refusal:
    """Only in an open round. With a checklist, what is critical and what passes is read there, not sent."""
    if asked.past.condition == "scrapped":
        return scrapped(asked)
    current = asked.state.open_round
    if current is None:
        return refuse("no_round", "no inspection round is open, so the check of {part} cannot be kept.",
                      "Ask the chief to open a round.", part=asked.called(asked.part.id))
    items: list[CheckItem] = []
    for item in data.items:
        judged = no_such_spot(asked, item.arm, item.end) or _judged(asked, item)
        if isinstance(judged, Refusal):
            return judged
        items.append(judged)
    lacking = _lacking(asked, items)
    if lacking:
        return refuse("incomplete", "the check of {part} lacks: {items}.", "Look at these too, then send again.",
                      part=asked.called(asked.part.id), items=Row(lacking))
    past = asked.past
    told = (*(defect.entry for defect in past.defects), *past.mends, *past.told_of("label_gone"))
    return Admitted(asked.part.id, past.fitted_at,
                    data.model_copy(update={"round": current.key, "items": tuple(items)}), asked.seen(told))


def _judged(asked: Asked, item: CheckItem) -> CheckItem | Refusal:
    """The item with its result, unit and weight as the list has them."""
    checklist = asked.checklist
    if checklist is None:
        return item
    check = checklist.check(asked.part.kind, item.item)
    if check is None:
        return refuse("no_such_item", "'{item}' is not on the list for a {kind}.", "On it are: {items}.",
                      item=item.item, kind=kind_said(asked.part.kind),
                      items=Row(tuple(map(item_said, checklist.lines(asked.part.kind)))))
    result = item.result
    if check.is_measured:
        if item.value is None:
            return refuse("which_value", "'{item}' of {part} needs a number.", "Measure it: {limits}.",
                          item=item_said(check), part=asked.called(asked.part.id),
                          limits=limits_said(check, asked.part))
        impossible = _impossible(asked, check, item.value)
        if impossible is not None:
            return impossible
        result = result_of(check, asked.part, item.value)
    refusal = _spot_missing(asked, check, item, result)
    return refusal or item.model_copy(update={"result": result, "unit": check.unit, "critical": check.critical,
                                              "label": check in checklist.label})


def _impossible(asked: Asked, check: Check, value: float) -> Refusal | None:
    """A slip of the finger, or another unit: asked for again before anything is judged by it."""
    span = possible_of(check, asked.part)
    if span is None or span[0] <= value <= span[1]:
        return None
    low, high = (Number(round(end, 1), None) for end in span)
    return refuse("cannot_be", "'{item}' of {part} cannot be {value} {unit}.",
                  "Measure again: from {low} to {high} {unit} is possible, {limits} passes.", item=item_said(check),
                  part=asked.called(asked.part.id), value=Number(value, None), unit=check.unit, low=low, high=high,
                  limits=limits_said(check, asked.part))


def _spot_missing(asked: Asked, check: Check, item: CheckItem, result: str) -> Refusal | None:
    named = {"arm": item.arm, "end": item.end, None: 0}[check.each]
    if result == "pass" or check.each is None or named is not None:
        return None
    return refuse("which_spot", "'{item}' of {part} failed, but at which {spot} is not said.",
                  "Say the {spot}; several of them are several lines.", item=item_said(check),
                  part=asked.called(asked.part.id), spot=spot_said(check.each))


def _lacking(asked: Asked, items: Iterable[CheckItem]) -> tuple[Value, ...]:
    """Lines of the list that always belong to a check and are not there."""
    checklist: Checklist | None = asked.checklist
    if checklist is None:
        return ()
    there = {item.item for item in items}
    return tuple(item_said(check) for check in needed_lines(checklist.lines(asked.part.kind))
                 if check.item not in there)


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
                      who=Row(current.holders(data.box)))
    return Admitted(data=BoxData(box=data.box, everyone=asked.holder not in holders))


def _no_round(data: BoxData) -> Refusal:
    return refuse("no_round", "no inspection round is open, so nobody has box '{box}'.",
                  "Ask the chief to open a round.", box=data.box)
