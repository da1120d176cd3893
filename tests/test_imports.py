"""The table of rooms in DEVELOPERS.md, held: imports run downward only."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

LEVEL = {
    "base": 0, "frame": 1, "statics": 2, "kit": 2, "plan": 3, "log": 4,
    "reports": 5, "wording": 6, "prints": 7, "demo": 8, "web": 9, "cli": 9,
}
"""A room may import rooms of a lower level, never one of its own level."""

INSIDE = {
    "reports": {"parts": 0, "raising": 1, "standing": 2, "damage": 3, "inspection": 3, "readiness": 4},
    "prints": {"common": 0, "pictures": 0, "tables": 1, "terminal": 1, "sheets": 1, "booklet": 2, "workshop": 2,
               "pocket": 2, "inspection": 2, "posters": 3, "site_paper": 4, "folder": 5},
    "web": {"common": 0, "photos": 1, "cards": 1, "parts": 2, "raising": 2, "damage": 2, "inspection": 2,
            "readiness": 2, "log": 2, "phone": 2, "server": 3},
}
"""The same for the rooms inside a room."""

NOT_YET = {("web", "parts", "raising"), ("web", "raising", "parts"), ("web", "readiness", "inspection")}
"""Arrows that still run sideways."""

MAY_MEET = {("cli", "web")}
"""The command line starts the server."""

ONLY_IN = {
    "flask": ("fieldapp/web/",),
    "sqlalchemy": ("fieldapp/log/tables.py", "fieldapp/log/store.py"),
    "reportlab": ("labels/",),
    "segno": ("labels/",),
    "ezdxf": ("labels/",),
    "click": ("fieldapp/cli",),
}


def _modules():
    for top in ("fieldapp", "labels"):
        for path in sorted((ROOT / top).rglob("*.py")):
            yield path.relative_to(ROOT)


def _imported(path):
    for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: write imports in full"
            yield node.module, node.lineno


def _room(path):
    return path.parts[1].removesuffix(".py").split("_")[0]


def _complaint(path, module, line):
    if path.parts[0] == "labels":
        return f"{path}:{line}: labels is a leaf" if module.split(".")[0] == "fieldapp" else None
    for name, places in ONLY_IN.items():
        if module.split(".")[0] == name and not str(path).startswith(places):
            return f"{path}:{line}: {name} only in {', '.join(places)}"
    if not module.startswith("fieldapp.") or (len(path.parts) == 2 and path.name == "__init__.py"):
        return None
    here, there = _room(path), module.split(".")[1].split("_")[0]
    if here == there:
        return _complaint_inside(path, module, line)
    if (here, there) in MAY_MEET or LEVEL[there] < LEVEL[here]:
        return None
    return f"{path}:{line}: {here} may not import {there}"


def _complaint_inside(path, module, line):
    """As `_complaint`, for two rooms inside one room."""
    room, target = _room(path), module.split(".")
    levels = INSIDE.get(room)
    if levels is None or (len(path.parts) < 4 and path.stem not in levels) or len(target) < 3:
        return None
    here, there = path.parts[2].removesuffix(".py"), target[2]
    if here == there or levels[there] < levels[here] or (room, here, there) in NOT_YET:
        return None
    return f"{path}:{line}: {room}/{here} may not import {room}/{there}"


@pytest.mark.parametrize("path", list(_modules()), ids=str)
def test_imports_run_downward(path):
    complaints = [c for module, line in _imported(path) if (c := _complaint(path, module, line))]
    assert not complaints, "\n".join(complaints)


def test_the_table_can_refuse():
    assert _complaint(Path("fieldapp/frame/x.py"), "fieldapp.kit.kit", 1)
    assert _complaint(Path("fieldapp/kit/x.py"), "fieldapp.statics.model", 1)
    assert _complaint(Path("labels/x.py"), "fieldapp.base.units", 1)
    assert _complaint(Path("fieldapp/kit/x.py"), "flask", 1)
    assert _complaint(Path("fieldapp/web/cards/x.py"), "fieldapp.web.parts.part", 1)
    assert _complaint(Path("fieldapp/prints/posters/x.py"), "fieldapp.prints.site_paper", 1)
