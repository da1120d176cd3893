"""Every value and formula of the program with its source and its test, read from where it stands.

A constant says them in the words below it, a function in its own: `Source: EN 1990 Annex A1. Test: tests/…`; values
of materials stand beside theirs in `materials`. Whoever cites a source says the test, too (`tests/test_sources.py`).
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fieldapp.base.materials import MATERIALS, SOURCES

PACKAGES = Path(__file__).resolve().parents[2]
"""Where `fieldapp` and `labels` lie, in a checkout and when installed."""

_ONE_TEST = r"tests/[\w/]+\.py(?:::\w+)?"
_SAID = re.compile(rf"\bSource: (?P<source>.+?)[.;]? Test: (?P<tests>{_ONE_TEST}(?:, {_ONE_TEST})*)")
_UNIT = re.compile(r"\s*\[([^\]]+)\]")
_FIRST_WORDS = re.compile(r"\s*(?:/\*|//|\{#)\s*(.*?)\s*(?:\*/|#\}|\n)")
_MATERIALS_TEST = "tests/base/test_materials.py"


@dataclass(frozen=True, slots=True)
class Sourced:
    """One value or one formula."""

    file: str
    """Path from the folder of the packages."""
    name: str
    value: str
    """As it is written; empty for a formula."""
    unit: str
    meaning: str
    source: str
    tests: tuple[str, ...]
    """Path of each test, with `::` and a name where only one function of it is meant."""


def source_files(packages: Path = PACKAGES) -> Iterator[Path]:
    """Every Python file of the product, in reading order."""
    for package in ("fieldapp", "labels"):
        yield from sorted((packages / package).rglob("*.py"))


def sourced(packages: Path = PACKAGES) -> Iterator[Sourced]:
    """Everything that says its source and its test, file by file."""
    for path in source_files(packages):
        name = path.relative_to(packages).as_posix()
        yield from sourced_in(path.read_text(encoding="utf-8"), name)
        if name == "fieldapp/base/materials.py":
            yield from _of_materials(name)


def sourced_in(text: str, file: str) -> Iterator[Sourced]:
    """The same for the text of one file."""
    for name, value, words in documented(text) if "Source: " in text else ():
        said = said_in(words)
        if said:
            meaning = " ".join(words.split("Source: ")[0].split()) if value else words.strip().split("\n")[0]
            unit = _UNIT.search(meaning) if value else None
            yield Sourced(file, name, value, unit[1] if unit else "", _UNIT.sub("", meaning, count=1), *said)


def said_in(words: str) -> tuple[str, tuple[str, ...]] | None:
    """Source and tests that some words name; None if they name none."""
    found = _SAID.search(" ".join(words.split()))
    return (found["source"], tuple(found["tests"].split(", "))) if found else None


def documented(text: str) -> Iterator[tuple[str, str, str]]:
    """(name, value as written, words) of every constant, field, function and class of a file; the file itself first."""
    module = ast.parse(text)
    yield "", "", ast.get_docstring(module) or ""
    for node in ast.walk(module):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name, "", ast.get_docstring(node) or ""
        if isinstance(node, ast.Module | ast.ClassDef):
            yield from _constants(node)


def _constants(holder: ast.Module | ast.ClassDef) -> Iterator[tuple[str, str, str]]:
    """The same of what is assigned in a file or a class."""
    for node, below in zip(holder.body, [*holder.body[1:], None], strict=True):
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            text = below.value.value if isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant) else ""
            yield ", ".join(_plain(target) for target in targets), _plain(node.value), str(text)


def _plain(node: ast.expr) -> str:
    """A node as it is written, a tuple without its brackets."""
    return ", ".join(map(ast.unparse, node.elts)) if isinstance(node, ast.Tuple) else ast.unparse(node)


def _of_materials(file: str) -> Iterator[Sourced]:
    """Every value of the table of materials."""
    for (material, field), source in SOURCES.items():
        value = getattr(MATERIALS[material], field)
        unit = "kg/m³" if field.endswith("_kg_m3") else "N/mm²"
        meaning = field.rsplit("_kg_m3" if unit == "kg/m³" else "_mpa", 1)[0].replace("_", " ")
        yield Sourced(file, material, f"{value:g}", unit, meaning, source, (_MATERIALS_TEST,))


def map_of_files(packages: Path = PACKAGES) -> Iterator[tuple[str, str]]:
    """(path, what it says of itself in its first line) of every file of the product, templates and scripts included."""
    for top in ("fieldapp", "labels", "static"):
        for path in sorted((packages / top).rglob("*")):
            if path.suffix in {".py", ".js", ".css", ".html"}:
                yield path.relative_to(packages).as_posix(), first_line(path)


def first_line(path: Path) -> str:
    """The first line of a file's docstring, or the first comment of a script, a style sheet or a template."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return (ast.get_docstring(ast.parse(text)) or "").split("\n")[0]
    found = _FIRST_WORDS.match(text)
    return found.group(1) if found else ""
