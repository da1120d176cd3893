"""`checks.toml`: the checklist as its user edits it; all problems of a file at once."""

import difflib
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from fieldapp.base.errors import KitError
from fieldapp.frame.design_file import shown
from fieldapp.kit.checklist import Check, Checklist
from fieldapp.kit.seen_again import SEEN_AGAIN, seen_again_of, seen_again_problems

CHECKS_FILE = "checks.toml"
SECTIONS = ("strut", "hub", "label")
SHOWN = {**{name: f"[[{name}]]" for name in SECTIONS}, SEEN_AGAIN: f"[{SEEN_AGAIN}]"}
"""How the parts of the file are headed (in no formula)."""

KEYS = tuple(field.name for field in fields(Check))
LONGEST_ITEM, LONGEST_TEXT, LONGEST_UNIT = 60, 300, 12
"""Most characters of a line, a text and a unit (in no formula)."""


def read_checks(folder: Path) -> Checklist:
    """The checklist of a kit's folder.

    Raises
    ------
    KitError
        If `checks.toml` is missing or unreadable, or breaks a rule of its format; one line for each problem.
    """
    path = folder / CHECKS_FILE
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise KitError(f"{path} does not exist; allowed is a folder with a checklist. Run raisebook make {folder}, "
                       f"which writes one.") from error
    except UnicodeDecodeError as error:
        raise KitError(f"{CHECKS_FILE} is not UTF-8 text (byte {error.start}). "
                       f"Save it as UTF-8 in a text editor.") from error
    except OSError as error:
        raise KitError(f"{path} cannot be read: {error.strerror}. Check path and permissions.") from error
    return checklist_of(text)


def checklist_of(text: str) -> Checklist:
    """The checklist of a text.

    Raises
    ------
    KitError
        One line for each problem.
    """
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise KitError(f"{CHECKS_FILE} cannot be read: {error}. A line is either [[strut]], [[hub]], [[label]] or "
                       f"[{SEEN_AGAIN}], or key = value with words in \"quotes\", or begins with #.") from error
    problems = [*_section_problems(tables), *seen_again_problems(tables.get(SEEN_AGAIN, {})),
                *(p for name in SECTIONS for p in _list_problems(name, tables.get(name)))]
    if problems:
        raise KitError("\n".join(f"{CHECKS_FILE}: {problem}" for problem in problems))
    return Checklist(**{name: tuple(_check(line) for line in tables.get(name, ())) for name in SECTIONS},
                     seen_again=seen_again_of(tables.get(SEEN_AGAIN, {})))


def _check(line: Mapping[str, Any]) -> Check:
    numbers = {key: float(line[key]) for key in ("at_least", "at_most") if key in line}
    return Check(**{**line, **numbers})


def _section_problems(tables: Mapping[str, Any]) -> Iterator[str]:
    for name in tables:
        if name not in SHOWN:
            near = difflib.get_close_matches(name, SHOWN, n=1, cutoff=0.4)
            offer = f"the nearest is {SHOWN[near[0]]}" if near else \
                f"allowed are [[strut]], [[hub]], [[label]] and [{SEEN_AGAIN}]"
            yield f"{name} is not a part of the list; {offer}. Correct it, or remove it."
    for name in ("strut", "hub"):
        if not tables.get(name, ()) and (name not in tables or isinstance(tables[name], list)):
            yield (f"[[{name}]] has no lines; allowed is one or more, or nothing would be looked at on a {name}. "
                   f"Write [[{name}]] on a line of its own, and below it item, look and source.")


def _list_problems(section: str, lines: Any) -> Iterator[str]:
    """Problems of one section."""
    if lines is None:
        return
    if not isinstance(lines, list) or not all(isinstance(line, dict) for line in lines):
        yield (f"{section} is {shown(lines)}; allowed is a list of lines. Write [[{section}]] with two brackets, on "
               f"a line of its own above each item.")
        return
    for number, line in enumerate(lines, start=1):
        named = f" ({line['item']})" if isinstance(line.get("item"), str) else ""
        where = f"[[{section}]] {number}{named}"
        wrong = dict(_key_problems(line))
        yield from (f"{where}: {problem}" for problem in wrong.values())
        yield from (f"{where}: {problem}" for rule in RULES if wrong.keys().isdisjoint(rule[0])
                    for problem in rule[1](section, line))
    yield from _repeats(section, lines)


def _key_problems(line: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """(key, problem) of each key that is wrong by itself."""
    for key in line:
        if key not in KEYS:
            near = difflib.get_close_matches(key, KEYS, n=1, cutoff=0.3) or ["item"]
            yield key, f"{key} is not a key; the nearest is {near[0]}. Correct it, or put a # before the line."
    for key in ("item", "look", "source"):
        if key not in line:
            yield key, f"{key} is missing; allowed are words in quotes. {_ADVICE[key]}"
    for key, (fits, allowed) in _ALLOWED.items():
        if key in line and not fits(line[key]):
            yield key, f"{key} is {shown(line[key])}; allowed {allowed}. {_ADVICE[key]}"


def _words(most: int) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and 1 <= len(value.strip()) <= most and value.isprintable()


def _one_of(*choices: str) -> Callable[[Any], bool]:
    return lambda value: value in choices


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e6


_ALLOWED: dict[str, tuple[Callable[[Any], bool], str]] = {
    "item": (_words(LONGEST_ITEM), f"are words in quotes, 1 to {LONGEST_ITEM} characters on one line"),
    "look": (_words(LONGEST_TEXT), f"are words in quotes, 1 to {LONGEST_TEXT} characters on one line"),
    "source": (_words(LONGEST_TEXT), f"are words in quotes, 1 to {LONGEST_TEXT} characters on one line"),
    "critical": (lambda value: isinstance(value, bool), "are true and false"),
    "each": (_one_of("arm", "end"), "are \"arm\" and \"end\""),
    "when": (_one_of("always", "in doubt"), "are \"always\" and \"in doubt\""),
    "unit": (_words(LONGEST_UNIT), f"are words in quotes, 1 to {LONGEST_UNIT} characters on one line"),
    "at_least": (_number, "are numbers"),
    "at_most": (_number, "are numbers"),
    "counts_as": (_one_of("length", "moisture"), "are \"length\" and \"moisture\""),
}
_ADVICE = {
    "item": "Give the line a short name.",
    "look": "Say how to look, as you would to a newcomer.",
    "source": "Say where the limit comes from; \"common practice\" will do.",
    "critical": "Write true if a part that fails must not be used.",
    "each": "Leave the line out if it is said of the whole part.",
    "when": "Leave the line out for \"always\".",
    "unit": "Write mm, % or whatever the tool says, or leave the line out for pass or fail.",
    "at_least": "Leave the line out if there is no lower limit.",
    "at_most": "Leave the line out if there is no upper limit.",
    "counts_as": "Leave the line out if the statics have no use for the number.",
}


def _limits_need_unit(section: str, line: Mapping[str, Any]) -> Iterator[str]:
    limits = [key for key in ("at_least", "at_most") if key in line]
    if limits and "unit" not in line:
        yield (f"{limits[0]} is {shown(line[limits[0]])}, but the line has no unit; allowed are limits for measured "
               f"values. Add unit, or remove the limit.")
    if "unit" in line and not limits:
        yield (f"unit is {shown(line['unit'])}, but no limit is given; allowed is a measured value with at_least, "
               f"at_most or both. Add a limit, or remove the unit for pass or fail.")


def _limits_in_order(section: str, line: Mapping[str, Any]) -> Iterator[str]:
    if "at_least" in line and "at_most" in line and line["at_least"] > line["at_most"]:
        yield (f"at_least is {line['at_least']:g}, but at_most is {line['at_most']:g}; allowed is at_least no greater "
               f"than at_most. Exchange the two, or correct one.")


def _each_fits_section(section: str, line: Mapping[str, Any]) -> Iterator[str]:
    right = {"hub": "arm", "strut": "end"}.get(section)
    if "each" in line and line["each"] != right:
        allowed = f"is \"{right}\"" if right else "is no such line"
        yield (f"each is \"{line['each']}\", but this is a line of [[{section}]]; allowed {allowed}. "
               f"Correct it, or remove it.")


def _use_fits(section: str, line: Mapping[str, Any]) -> Iterator[str]:
    use = line.get("counts_as")
    wanted = {"length": "mm", "moisture": "%"}.get(str(use))
    if use and line.get("unit") != wanted:
        found = f"the unit is {shown(line['unit'])}" if "unit" in line else "the line has no unit"
        yield f"counts_as is \"{use}\", but {found}; allowed is unit = \"{wanted}\". Correct the unit."
    if use == "length" and section != "strut":
        yield (f"counts_as is \"length\", but this is a line of [[{section}]]; allowed is that only in [[strut]]. "
               f"Remove it.")
    if use and "each" in line:
        yield (f"counts_as is \"{use}\", but the line is said of each {line['each']}; allowed is one number for the "
               f"whole part. Remove each.")


RULES: tuple[tuple[frozenset[str], Callable[[str, Mapping[str, Any]], Iterator[str]]], ...] = (
    (frozenset({"unit", "at_least", "at_most"}), _limits_need_unit),
    (frozenset({"at_least", "at_most"}), _limits_in_order),
    (frozenset({"each"}), _each_fits_section),
    (frozenset({"counts_as", "unit", "each"}), _use_fits),
)
"""What keys of one line demand of each other: (keys read, problems)."""


def _repeats(section: str, lines: list[dict[str, Any]]) -> Iterator[str]:
    items = Counter(str(line["item"]) for line in lines if isinstance(line.get("item"), str))
    uses = Counter(str(line["counts_as"]) for line in lines if isinstance(line.get("counts_as"), str))
    for item, count in items.items():
        if count > 1:
            yield (f"[[{section}]]: item \"{item}\" occurs {count} times; allowed is each name once. "
                   f"Rename or remove one.")
    for use, count in uses.items():
        if count > 1:
            yield (f"[[{section}]]: {count} lines have counts_as = \"{use}\"; allowed is one. "
                   f"Remove it from the others.")
