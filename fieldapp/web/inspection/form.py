"""What the inspection page sends: lines that fail, where, and numbers; everything else on the list passed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from werkzeug.datastructures import MultiDict

from fieldapp.base.numbers import decimal
from fieldapp.base.said import in_words
from fieldapp.kit.checklist import Check, possible_of, result_of
from fieldapp.kit.checklist_lines import item_said
from fieldapp.kit.kit import Part
from fieldapp.web.common.context import tidy
from fieldapp.web.common.forms import MAX_WORDS_CHARS, number_of, number_or_none
from fieldapp.web.common.i18n import _
from fieldapp.wording.place import sentence

Fields = MultiDict[str, str]


@dataclass(frozen=True, slots=True)
class CheckForm:
    """One check as it was told."""

    items: tuple[Mapping[str, object], ...] = ()
    """As the log keeps them."""
    problem: str = ""
    """What could not be read, in words."""


def check_form(form: Fields, checks: Sequence[Check], part: Part, *, spots: Sequence[int]) -> CheckForm:
    """Read the fields of one part's page; `spots` are the numbers of its arms or ends."""
    items: list[Mapping[str, object]] = []
    for check in checks:
        if check.is_measured:
            values, problem = _values(form, check, part, spots=spots)
            if problem:
                return CheckForm(problem=problem)
            items += values
        else:
            items += _judged(form, check)
    failed = {item["item"] for item in items if item["result"] == "fail" and "value" not in item}
    out = [item for item in items if item["result"] == "fail" and "value" in item]
    if form.get("all") == "sound" and out and not failed and _possible(out, checks, part):
        return CheckForm(problem=_("Out of its limits: {items}. So it is not all sound: press “Write down what fails”, "
                                   "or measure again.").format(
            items=_names(check for check in checks if check.item in {item["item"] for item in out})))
    if form.get("all") == "sound" and failed:
        return CheckForm(problem=_("You ticked that it fails: {items}. Take the ticks off, or write down what "
                                   "fails.").format(items=_names(check for check in checks if check.item in failed)))
    if form.get("all") == "fails" and not failed and not out:
        return CheckForm(problem=_("Tick what fails, or press “All sound”."))
    return CheckForm(tuple(items))


def _possible(items: Iterable[Mapping[str, object]], checks: Sequence[Check], part: Part) -> bool:
    """False if one of the numbers cannot be: the rule asks for it again, with better words."""
    spans = {check.item: possible_of(check, part) for check in checks}
    return all(span is None or span[0] <= float(str(item["value"])) <= span[1]
               for item in items for span in [spans[str(item["item"])]])


def all_sound(checks: Sequence[Check]) -> CheckForm:
    """Every line that always belongs to a check passed; a problem if one of them asks for a number."""
    measured = [check for check in checks if check.when == "always" and check.is_measured]
    if measured:
        return CheckForm(problem=_("{items} must be measured: open the part's page.").format(items=_names(measured)))
    return CheckForm(tuple(_item(check, "pass") for check in checks if check.when == "always"))


def _names(checks: Iterable[Check]) -> str:
    return ", ".join(in_words(item_said(check)) for check in checks)


def field(kind: str, check: Check, spot: int | None = None) -> str:
    """Name of a field of the page, the same from one run to the next: forms may wait in a phone."""
    return f"{kind}:{check.item}" + (f":{spot}" if spot else "")


def _item(check: Check, result: str, spot: int | None = None, **more: object) -> Mapping[str, object]:
    item: dict[str, object] = {"item": check.item, "result": result, "unit": check.unit, "critical": check.critical}
    if check.each and spot:
        item[check.each] = spot
    return item | {name: value for name, value in more.items() if value not in (None, "")}


def _judged(form: Fields, check: Check) -> Iterator[Mapping[str, object]]:
    """A line of pass or fail; one that is only looked at in doubt is left out unless somebody did."""
    said = form.get(field("look", check), "")
    if said == "fail":
        words = tidy(form.get(field("words", check), ""), MAX_WORDS_CHARS)
        chosen = [number_or_none(text) for text in form.getlist(field("spot", check))]
        for spot in chosen or [None]:
            yield _item(check, "fail", spot, words=words)
    elif said == "pass" or check.when == "always":
        yield _item(check, "pass")


def _values(form: Fields, check: Check, part: Part, *, spots: Sequence[int]
            ) -> tuple[list[Mapping[str, object]], str]:
    """The numbers of a measured line, one for each arm or end if it is said of each."""
    found: list[Mapping[str, object]] = []
    for spot in spots if check.each else (None,):
        text = form.get(field("value", check, spot), "").strip()
        value = number_of(text)
        if text and value is None:
            return [], _("{item} must be a number like {example}, got {text}.").format(
                item=sentence(in_words(item_said(check))), example=decimal(12.5, 1), text=text[:20])
        if value is not None:
            found.append(_item(check, result_of(check, part, value), spot, value=value))
    return found, ""
