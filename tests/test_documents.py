"""README and DEVELOPERS say what is there: the map, the commands, the dependencies."""

import importlib.util
import re
import tomllib
from pathlib import Path

import pytest

from fieldapp.cli import main

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

_spec = importlib.util.spec_from_file_location("developers_map", Path(__file__).parent / "developers_map.py")
developers_map = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(developers_map)


def test_the_map_lists_exactly_the_files_that_exist():
    assert developers_map.with_map(DEVELOPERS) == DEVELOPERS, "run: python tests/developers_map.py"


def test_every_file_says_what_it_is():
    assert [path for path, words in developers_map.rows() if not words] == []


def _commands(group, prefix="raisebook"):
    for name, command in sorted(group.commands.items()):
        if hasattr(command, "commands"):
            yield from _commands(command, f"{prefix} {name}")
        else:
            yield f"{prefix} {name}", command


@pytest.mark.parametrize(("words", "command"), list(_commands(main)))
def test_every_command_has_help_and_is_in_the_readme(words, command):
    assert command.help
    assert words in README


def test_every_dependency_has_its_reason():
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    for requirement in declared:
        name = re.split(r"[><=!~\[ ;]", requirement)[0]
        assert re.search(rf"^\| {re.escape(name)} \|", DEVELOPERS, re.M), f"{name} has no row in DEVELOPERS.md"


def test_top_level_is_as_agreed():
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "fieldapp", "labels", "tests", "static"}
    extra = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} - allowed
    extra -= {name for name in extra if name.endswith(".egg-info") or name in {"dist", "build", "orchard-hall"}}
    assert extra == set()
