"""Reading `design.toml`: all problems of a file at once, each with what is allowed and what to do."""

import difflib
import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from annotated_types import Ge, Gt, Le
from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from fieldapp.base.errors import DesignError
from fieldapp.base.materials import MATERIALS
from fieldapp.frame.design import Design
from fieldapp.frame.design_rules import broken_rules
from fieldapp.frame.given.files import read_lines
from fieldapp.frame.questions import DesignSection
from fieldapp.frame.struts import NamedStrut, listed

SECTIONS: dict[str, type[DesignSection]] = {
    name: info.annotation for name, info in Design.model_fields.items()
    if isinstance(info.annotation, type) and issubclass(info.annotation, DesignSection)
}
"""The sections of the file in their order, by name."""

MOST_BITS = 200
"""Of a number that is shown with all its digits (in no formula)."""
MOST_CHARS = 200
"""Of a list that is shown (in no formula)."""
DIGITS_PER_BIT = 0.30103
"""Decimal digits that a binary one stands for, log10(2); counted, since writing out a huge number takes long
(in no formula)."""
SPECIAL_ALLOWED = {
    "frame.cut": "a fraction in quotes that the frequency offers, or \"full\"",
    "strut.material": ", ".join(MATERIALS),
    "hub.material": ", ".join(MATERIALS),
    "frame.name": "1 to 60 visible characters on one line",
    "frame.prefix": "two or three capital letters A to Z",
    "raising.own_order": "a list of hub places such as \"H01\"",
    "raising.leave_out": "a list of hub places such as \"H22\"",
    "hub.test_loads_n": "a list of numbers above 0",
    "hub.pull_test_n": "a list of numbers above 0",
    "strength.strut_loads_n": "a list of numbers above 0",
    "ground.which_feet": "a list of hub places such as \"H01\"",
    "ground.pull_test_up_n": "a list of numbers above 0",
    "ground.pull_test_sideways_n": "a list of numbers above 0",
    "ground.source": "1 to 120 characters in quotes",
    "ground.pull_test_note": "1 to 120 characters in quotes",
    "ground.holds_source": "1 to 120 characters in quotes",
    "frame.file": "the name of a file that ends in .csv, .dxf, .obj or .stl, without folders",
    "drawing.feet": "a list of names of points in quotes",
    "drawing.front": "the name of a point in quotes",
    "site.address": "http:// or https://, a host name or number, and a port if needed, 40 characters at most, no path",
    "site.wifi_name": "1 to 32 letters, digits and hyphens",
    "site.wifi_password": "8 to 63 letters and digits",
    "struts.name": "1 to 60 visible characters on one line",
    "struts.material": ", ".join(MATERIALS),
    "struts.pull_test_n": "a list of numbers above 0",
    "struts.strut_loads_n": "a list of numbers above 0",
    "struts.test_loads_n": "a list of numbers above 0",
}
"""What is allowed where type and limits do not say it."""


def read_design(path: Path, *, up_was: str | None = None) -> Design:
    """The design in a file.

    `up_was` is the axis that a kit made from it took for upward before that was asked of every file; None: it is asked.

    Raises
    ------
    DesignError
        If the file cannot be read or any answer is wrong; one line for each problem.
    """
    try:
        answers = _toml(path)
        if "given" in answers:
            raise DesignError(f"{path.name}: {_unknown_key('given', '')}")
        return _with_its_lines(design_of(answers, source=path.name), path, up_was)
    except RecursionError as error:
        raise DesignError(f"{path.name} has lists or tables in each other beyond all reason. A list is written as "
                          f"[\"H01\", \"H02\"].") from error


def _with_its_lines(design: Design, path: Path, up_was: str | None) -> Design:
    """The design with what the file of its frame draws."""
    if design.frame.file is None:
        return design
    drawing = design.drawing
    given = read_lines(path.parent / design.frame.file, unit=drawing.unit, up=drawing.up or up_was,
                       weld_mm=drawing.weld_mm, sections=design.section_names[1:])
    return design.model_copy(update={"given": given})


def design_of(answers: dict[str, Any], *, source: str) -> Design:
    """The design of a table of answers by section; `source` names them in messages.

    Raises
    ------
    DesignError
        One line for each problem.
    """
    answers = _with_tuples(listed(answers))
    try:
        design = Design.model_validate(answers, strict=True)
        problems = broken_rules(design)
    except ValidationError as error:
        problems = _problems(answers, error.errors())
    if problems:
        raise DesignError("\n".join(f"{source}: {text}" for text in problems))
    return design


def _toml(path: Path) -> dict[str, Any]:
    """The file's tables."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))     # some editors begin a file with a mark
    except OSError as error:
        raise DesignError(f"{path.name} cannot be read: {error.strerror}. Check path and permissions.") from error
    except UnicodeDecodeError as error:
        raise DesignError(f"{path.name} is not UTF-8 text (byte {error.start}). "
                          f"Save it as UTF-8 in a text editor.") from error
    except ValueError as error:
        raise DesignError(f"{path.name} cannot be read: {_short(error)}. A line is either a [section], or key = value "
                          f"with words in \"quotes\", or begins with #.") from error


def _short(error: ValueError) -> str:
    """What the reader of the file says; of a number of thousands of digits, the language's own words are of no help."""
    return str(error) if isinstance(error, tomllib.TOMLDecodeError) else "a number has thousands of digits"


def _with_tuples(value: Any) -> Any:
    """Lists as tuples, as the records hold them."""
    if isinstance(value, dict):
        return {key: _with_tuples(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return tuple(_with_tuples(item) for item in value)
    return value


def _problems(answers: dict[str, Any], errors: list[ErrorDetails]) -> tuple[str, ...]:
    """Each wrong answer once, then what the right ones demand of each other."""
    wrong = {".".join(str(part) for part in error["loc"][:3 if error["loc"][0] == "struts" else 2]): error
             for error in reversed(errors)}
    texts = [_problem_of_struts(answers, error) if key.startswith("struts") else _problem(key, error)
             for key, error in reversed(wrong.items())]
    partial = {
        section: {key: value for key, value in keys.items() if f"{section}.{key}" not in wrong}
        for section, keys in answers.items() if section in SECTIONS and isinstance(keys, dict)
    }
    unread = frozenset("struts" if key.startswith("struts") else key for key in wrong)
    return (*texts, *broken_rules(Design.model_validate(partial), unread))


def _problem(key: str, error: ErrorDetails) -> str:
    """One problem in words."""
    section, _, name = key.partition(".")
    if error["type"] == "extra_forbidden":
        return _unknown_key(section, name)
    if not name:
        return f"{section} is {shown(error['input'])}; allowed is a section. Write [{section}] on a line of its own."
    info = SECTIONS[section].model_fields[name]
    item = f"wrong at item {int(error['loc'][2]) + 1}, " if len(error["loc"]) > 2 else ""
    allowed = allowed_words(key, info)
    verb = "is" if allowed.startswith("a ") else "are"
    return f"{key} is {item}{shown(error['input'])}; allowed {verb} {allowed}. {info.title}"


def _problem_of_struts(answers: dict[str, Any], error: ErrorDetails) -> str:
    """One problem of [struts.NAME] in words."""
    loc = error["loc"]
    if len(loc) < 3:
        return (f"struts is {shown(error['input'])}; allowed are sections by their names. Write [struts.\"pole 48\"] "
                f"on a line of its own.")
    of = answers["struts"][int(loc[1])]
    table, name = f"struts.{shown(of.get('name'))}", str(loc[2])
    if error["type"] == "extra_forbidden":
        near = difflib.get_close_matches(name, NamedStrut.model_fields, n=1, cutoff=0.0)
        return f"{table}.{name} is not a key; the nearest is {near[0]}. Correct it, or put a # before the line."
    info = NamedStrut.model_fields[name]
    allowed = allowed_words(f"struts.{name}", info)
    verb = "is" if allowed.startswith("a ") else "are"
    is_now = "is missing" if error["type"] == "missing" else f"is {shown(error['input'])}"
    return f"{table}.{name} {is_now}; allowed {verb} {allowed}. {info.title}"


def _unknown_key(section: str, name: str) -> str:
    """A key or section that does not exist, with the nearest that does."""
    every = [f"{s}.{k}" for s, record in SECTIONS.items() for k in record.model_fields]
    if not name:
        near = difflib.get_close_matches(section, SECTIONS, n=1, cutoff=0.5)
        offer = f"the nearest is [{near[0]}]" if near else f"allowed are {', '.join(f'[{s}]' for s in SECTIONS)}"
        return f"[{section}] is not a section; {offer}. Correct it, or remove it."
    same_name = [key for key in every if key.partition(".")[2] == name]
    in_section = [key for key in every if key.startswith(f"{section}.")]
    near = (same_name
            or difflib.get_close_matches(f"{section}.{name}", in_section, n=1)
            or difflib.get_close_matches(f"{section}.{name}", every, n=1, cutoff=0.5)
            or in_section[:1])
    return f"{section}.{name} is not a key; the nearest is {near[0]}. Correct it, or put a # before the line."


def shown(value: object) -> str:
    """A value as it stands in the file, cut short."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        said = json.dumps(value if len(value) <= 50 else value[:47] + "…", ensure_ascii=False)
        return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in said)
    if isinstance(value, int) and value.bit_length() > MOST_BITS:
        return f"a number of {round(value.bit_length() * DIGITS_PER_BIT)} digits"
    if isinstance(value, dict):
        return "a section"
    if isinstance(value, tuple | list):
        said = f"[{', '.join(shown(item) for item in value[:5])}]"
        return said if len(said) <= MOST_CHARS else said[:MOST_CHARS - 1] + "…"
    return str(value)


def allowed_words(key: str, info: FieldInfo) -> str:
    """What may stand for a key: "whole numbers from 1 to 16"."""
    if key in SPECIAL_ALLOWED:
        return SPECIAL_ALLOWED[key]
    kinds = [kind for kind in get_args(info.annotation) if kind is not type(None)]
    kind = kinds[0] if kinds and get_origin(info.annotation) is not Literal else info.annotation
    if get_origin(kind) is Literal:
        return " or ".join(shown(choice) for choice in get_args(kind))
    if kind is bool:
        return "true or false"
    return f"{'whole numbers' if kind is int else 'numbers'}{''.join(_limits(info))}"


def _limits(info: FieldInfo) -> Iterator[str]:
    """Limits of a number in words."""
    low = next((m for m in info.metadata if isinstance(m, Ge | Gt)), None)
    high = next((m for m in info.metadata if isinstance(m, Le)), None)
    if isinstance(low, Ge):
        yield f" from {low.ge:.12g}"
    if isinstance(low, Gt):
        yield f" above {low.gt:.12g}"
    if high is not None:
        yield f"{' to' if isinstance(low, Ge) else ', at most'} {high.le:.12g}"
