"""README and DEVELOPERS say what is there: the commands, the dependencies, the top level."""

import re
import tomllib
from pathlib import Path

import constraints
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from fieldapp.cli import main

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def _commands(group, prefix="raisebook"):
    for name, command in sorted(group.commands.items()):
        if hasattr(command, "commands"):
            yield from _commands(command, f"{prefix} {name}")
        else:
            yield f"{prefix} {name}", command


def test_every_command_has_help_and_is_in_the_readme():
    assert [words for words, command in _commands(main) if not command.help or words not in README] == []


def test_every_dependency_has_its_reason():
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = [Requirement(line).name for line in declared]
    assert [name for name in names if not re.search(rf"^\| {re.escape(name)} \|", DEVELOPERS, re.M)] == []


def test_the_constraints_hold_every_dependency_once_on_every_python_and_system():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = [Requirement(line) for line in (*project["dependencies"], *project["optional-dependencies"]["test"])]
    wrong = []
    for seen in constraints.environments():
        held = [pin for pin in constraints.pins() if not pin.marker or pin.marker.evaluate(seen)]
        for wanted in declared:
            releases = [str(pin.specifier).removeprefix("==") for pin in held
                        if canonicalize_name(pin.name) == canonicalize_name(wanted.name)]
            if len(releases) != 1 or not wanted.specifier.contains(releases[0]):
                wrong.append(f"{wanted} has {releases} on Python {seen['python_version']}, {seen['sys_platform']}")
    assert not wrong, "run: python tests/constraints.py\n" + "\n".join(wrong)


def test_the_constraints_are_names_and_releases_only():
    assert [str(pin) for pin in constraints.pins() if not re.fullmatch(r"==[\w.]+", str(pin.specifier)) or pin.extras
            or pin.url] == []


def test_both_commands_of_the_readme_install_by_the_constraints():
    assert len(re.findall(r"pip install -q -c tests/constraints\.txt ", README)) == README.count("pip install -q") == 2


def test_top_level_is_as_agreed():
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "fieldapp", "labels", "tests", "static"}
    extra = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} - allowed
    extra -= {name for name in extra if name.endswith(".egg-info") or name in {"dist", "build", "orchard-hall"}}
    assert extra == set()
