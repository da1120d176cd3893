"""Every value and formula carries its source and its test where it stands, and the tests that are named exist.

A constant that no formula takes says so: `(in no formula)`. Rooms that only lay out pages keep their measures to
themselves, but whoever cites a source there names a test as well.
"""

import ast
import csv
import io
import re
from functools import cache
from pathlib import Path

from click.testing import CliRunner
from trees import tree

from fieldapp.base import sources
from fieldapp.base.materials import MATERIALS, SOURCES
from fieldapp.base.sources import PACKAGES, said_in, source_files, sourced, sourced_in
from fieldapp.cli import main

ROOT = Path(__file__).resolve().parent.parent

COMPUTING = ("base", "frame", "identify", "statics", "kit", "plan", "reports", "wording")
"""Rooms whose numbers end in what people are told."""

FORMULAS = ("base", "frame", "statics", "kit", "plan")
"""Of these, the rooms in which nothing is put into words, so that every number in a function is one of a formula."""

ANSWERS = ("fieldapp/base/materials.py", "fieldapp/frame/design.py", "fieldapp/frame/template.py",
           "fieldapp/cli_ask.py")
"""Values with a source beside each, answers to start from that are the maker's own to change, words about sources."""

CITES = re.compile(r"\bEN \d{3}|\bISO[ /](?!8601)|from memory|common practice|no source|\bEC5\b|NUREG|\bGS1\b", re.I)

@cache
def documented(text):
    """What a text says of its constants, functions and classes."""
    return tuple(sources.documented(text))


def _numbers(node: ast.expr) -> bool:
    """Whether a number stands anywhere in it."""
    return any(isinstance(n, ast.Constant) and isinstance(n.value, int | float) and not isinstance(n.value, bool)
               for n in ast.walk(node))


def _numeric(node: ast.expr) -> bool:
    """Whether what is assigned is a number, or a table, a sum, an array or a time made of numbers."""
    if isinstance(node, ast.Call) and not re.match(r"(np|math)\.|timedelta\(", ast.unparse(node)):
        return False
    return isinstance(node, ast.Constant | ast.Tuple | ast.Dict | ast.BinOp | ast.UnaryOp | ast.Call) and _numbers(node)


def _is_constant(name: str, value: str) -> bool:
    """In capitals, or the field of a record that starts from a number with a fraction."""
    node = ast.parse(f"({value})", mode="eval").body
    if name.strip("_").split(",")[0].isupper():
        return _numeric(node)
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value % 1 != 0


def _wants_source(text: str):
    """Constants of a computing room that do not say where they come from."""
    for name, value, words in documented(text):
        if value and _is_constant(name, value) and "(in no formula)" not in words and not said_in(words):
            yield name


def _bare_literals(text: str):
    """Numbers in functions, other than exact ones and rounding, whose function says no source."""
    functions = [node for node in ast.walk(tree(text)) if isinstance(node, ast.FunctionDef)]
    for function in functions:
        if said_in(ast.get_docstring(function) or ""):
            continue
        skipped = {n for call in ast.walk(function) if isinstance(call, ast.keyword) and call.arg == "cutoff"
                   for n in ast.walk(call)}
        for node in ast.walk(function):
            if isinstance(node, ast.Constant) and isinstance(node.value, float) and node not in skipped \
                    and (2 * node.value) % 1 and node.value > 1e-4:
                yield f"{function.name}: {node.value}"


def _files(rooms=None):
    for path in source_files():
        name = path.relative_to(PACKAGES).as_posix()
        if rooms is None or (name.startswith("fieldapp/") and name.split("/")[1] in rooms):
            yield name, path.read_text(encoding="utf-8")


def test_every_number_in_a_formula_says_its_source_and_its_test():
    bare = [f"{file}: {found}" for rooms, look in ((COMPUTING, _wants_source), (FORMULAS, _bare_literals))
            for file, text in _files(rooms) if file not in ANSWERS for found in look(text)]
    assert not bare, "write `Source: …. Test: tests/…` below it, or `(in no formula)`:\n" + "\n".join(bare)


def test_whoever_cites_a_source_names_the_test_that_holds_it():
    """A file may cite in its own first words what its functions then name; the maps of rooms only point on."""
    silent = [f"{file}: {name or 'the file itself'}" for file, text in _files()
              if file not in ANSWERS
              for name, _, words in documented(text) if CITES.search(words) and not said_in(words)
              and (name or (not file.endswith("__init__.py") and "Source: " not in text))]
    assert not silent, "write `Source: …. Test: tests/…`:\n" + "\n".join(silent)


def _exists(test: str) -> bool:
    """Whether the file is there and, where one is named, the function in it."""
    path, _, function = test.partition("::")
    return (ROOT / path).is_file() and (not function or f"def {function}(" in (ROOT / path).read_text(encoding="utf-8"))


def test_the_tests_that_are_named_exist():
    wrong = [f"{entry.file}: {entry.name}: {test}" for entry in sourced() for test in entry.tests if not _exists(test)]
    assert not wrong, "\n".join(wrong)


def test_every_value_of_a_material_has_its_source():
    fields = ("youngs_modulus_mpa", "youngs_modulus_05_mpa", "shear_modulus_mpa", "density_kg_m3", "bending_mpa",
              "tension_mpa", "compression_mpa")
    rolling = {(name, "rolling_shear_mpa") for name, of in MATERIALS.items() if of.rolling_shear_mpa is not None}
    assert set(SOURCES) == {(name, field) for name in MATERIALS for field in fields} | rolling
    assert all(SOURCES.values())


def test_the_look_can_fail():
    assert list(_wants_source('A = 1.5\n"""A number."""'))
    assert list(_wants_source('@dataclass\nclass R:\n    a: float = 0.2\n    """A choice."""'))
    assert list(_wants_source("B = np.array([1.0, 2.0])"))
    assert not list(_wants_source('A = 1.5\n"""A number. Source: a book. Test: tests/test_x.py"""'))
    assert not list(_wants_source('A = "word"\nB = ("a", "b")\nCHUNK = 20\n"""At once (in no formula)."""'))
    assert list(_bare_literals("def f(x):\n    return 0.21 * x"))
    assert not list(_bare_literals("def f(x):\n    return 2.0 * x + 0.5"))
    assert not _exists("tests/test_sources.py::test_that_is_not_there")
    assert not list(sourced_in('A = 1\n"""Source: a book."""', "a.py"))


def test_what_is_read_of_a_constant():
    words = "Gravity [m/s²].\nSource: a book. Test: tests/a/test_g.py, tests/test_h.py::test_i"
    [found] = sourced_in(f'G = 9.8\n"""{words}"""', "g.py")
    assert (found.name, found.value, found.unit, found.meaning) == ("G", "9.8", "m/s²", "Gravity.")
    assert (found.source, found.tests) == ("a book", ("tests/a/test_g.py", "tests/test_h.py::test_i"))


def test_the_command_prints_the_table():
    shown = CliRunner().invoke(main, ["sources", "gamma_g", "table a1.2"])
    assert shown.exit_code == 0
    assert "GAMMA_G = 1.35\n" in shown.output
    assert "Source: EN 1990 Table A1.2(B), reproduced in Steel Buildings in Europe, part 3, Table 3.1." in shown.output
    rows = list(csv.DictReader(io.StringIO(CliRunner().invoke(main, ["sources", "--csv"]).output)))
    assert {"file": "fieldapp/base/materials.py", "name": "C24", "value": "24", "unit": "N/mm²", "meaning": "bending",
            "source": "EN 338:2016", "test": "tests/base/test_materials.py"} in rows


def test_the_command_prints_the_map_of_files():
    shown = CliRunner().invoke(main, ["sources", "--files"]).output.splitlines()
    assert "fieldapp/cli_ask.py: Questions that change nothing: `raisebook show`, `raisebook checks` and " \
           "`raisebook sources`." in shown
    assert any(line.startswith("fieldapp/reports/standing/__init__.py: What really stands now") for line in shown)
    assert [line for line in shown if line.endswith(": ")] == [], "every file says in its first line what it is"


NUMBER = re.compile(r"\(([A-Z]\d{1,2})\)")
DOCUMENTS = {path: path.read_text(encoding="utf-8") for path in
             (*sorted((ROOT / "fieldapp").rglob("README.md")), ROOT / "labels" / "README.md", ROOT / "DEVELOPERS.md")}


def test_every_equation_stands_in_a_readme_and_is_pointed_to_from_the_code():
    derived = {number for text in DOCUMENTS.values() for line in text.splitlines() if line.startswith("### (")
               for number in NUMBER.findall(line)[:1]}
    cited = {number for _, text in _files() for _, _, words in documented(text) for number in NUMBER.findall(words)}
    assert cited == derived


def test_what_the_readmes_name_exists():
    named = [(path, name) for path, text in DOCUMENTS.items() for name in re.findall(r"`(tests/[\w/.]+)`", text)]
    assert [f"{path.relative_to(ROOT)}: {name}" for path, name in named if not (ROOT / name).exists()] == []
    assert len(named) > 60
    developers = DOCUMENTS[ROOT / "DEVELOPERS.md"]
    files = re.findall(r"`([\w/]+\.(?:py|md|toml|txt))`", developers)
    assert [name for name in files if not any((top / name).exists() for top in (ROOT, ROOT / "fieldapp"))] == []
    assert len(files) > 20
    sections = [(path, section) for path, text in DOCUMENTS.items() for section in re.split(r"^### ", text, flags=re.M)
                if section.startswith("(")]
    assert [section.split("\n")[0] for _, section in sections if "`tests/" not in section] == []


def _is_code(room, name):
    """Whether a room has the file, folder, function or class that its README calls so: `wind.wind_limit`, `limits`."""
    place = room / name.replace(".", "/")
    if place.is_dir() or place.with_suffix(".py").exists() or (ROOT / f"{name}.py").exists():
        return True
    module, _, last = name.rpartition(".")
    module = module.split(".")[0].split("/")[-1]
    return any(re.search(rf"^\s*(def|class) {re.escape(last)}\b", path.read_text(encoding="utf-8"), re.M)
               for path in room.rglob("*.py") if module in (path.stem, path.parent.name))


def test_the_code_that_a_derivation_names_is_there():
    named = [(path.parent, name) for path, text in DOCUMENTS.items()
             for words in re.findall(r"^Code (.*?)\. Test:", text, re.M | re.S)
             for name in re.findall(r"`([^`]+)`", words)]
    assert [f"{room.relative_to(ROOT)}: {name}" for room, name in named if not _is_code(room, name)] == []
    assert len(named) > 60
    assert not _is_code(ROOT / "fieldapp" / "statics", "wind.no_such_limit")


def test_the_glossary_has_every_unit_of_a_public_parameter():
    units = re.compile(
        r"_(n_mm|nmm_rad|nm_rad|mm[234]?|kg_m3|kg|m_s|nmm|nm|mpa|pa|rad|deg|percent|ms|min|dpi|px|[mnsh])$")
    functions = (n for _, text in _files() for n in ast.walk(tree(text)) if isinstance(n, ast.FunctionDef))
    names = {argument.arg for function in functions if not function.name.startswith("_")
             for argument in (*function.args.args, *function.args.kwonlyargs)}
    found = {match[0] for name in names if (match := units.search(name))}
    listed = set(re.findall(r"`(_[a-z0-9_]+)`", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))
    assert found <= listed, f"add to the glossary in DEVELOPERS.md: {sorted(found - listed)}"
    assert len(found) > 10
