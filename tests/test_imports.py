"""The table of rooms in DEVELOPERS.md, held: imports run downward only."""

import ast
import re
from pathlib import Path

from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from trees import tree

ROOT = Path(__file__).resolve().parent.parent

LEVEL = {
    "base": 0, "photos": 1, "frame": 1, "statics": 2, "kit": 2, "identify": 2, "plan": 3, "log": 4,
    "reports": 5, "wording": 6, "prints": 7, "demo": 8, "adopt": 8, "web": 9, "cli": 9,
}
"""A room may import rooms of a lower level, never one of its own level."""

INSIDE = {
    "reports": {"parts": 0, "raising": 1, "standing": 2, "exchange": 3, "verdict": 4, "damage": 5, "inspection": 5,
                "readiness": 6, "pool": 7, "upkeep": 8},
    "prints": {"common": 0, "pictures": 0, "tables": 1, "terminal": 1, "sheets": 1, "booklet": 2, "workshop": 2,
               "pocket": 2, "inspection": 2, "posters": 3, "forgives": 3, "folder": 4},
    "web": {"common": 0, "photos": 1, "cards": 1, "parts": 2, "raising": 2, "damage": 2, "inspection": 2,
            "readiness": 2, "log": 2, "phone": 2, "dates": 2, "board": 3, "server": 4, "yard": 5},
}
"""The same for the rooms inside a room."""

MAY_MEET = {("cli", "web")}
"""The command line starts the server."""

ONLY_IN = {
    "flask": ("fieldapp/web/",),
    "sqlalchemy": ("fieldapp/log/tables.py", "fieldapp/log/rows.py", "fieldapp/log/reading.py",
                   "fieldapp/log/store.py", "fieldapp/log/shared/"),
    "reportlab": ("labels/",),
    "segno": ("labels/",),
    "ezdxf": ("labels/", "fieldapp/frame/given/drawing.py"),
    "trimesh": ("fieldapp/frame/given/mesh.py",),
    "click": ("fieldapp/cli",),
}


def _modules():
    for top in ("fieldapp", "labels"):
        for path in sorted((ROOT / top).rglob("*.py")):
            yield path.relative_to(ROOT)


def _tree(path):
    return tree((ROOT / path).read_text(encoding="utf-8"))


def _imported(path):
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or ""), node.lineno


def _room(path):
    return path.parts[1].removesuffix(".py").split("_")[0]


def _complaint(path, module, line):
    if module.startswith("."):
        return f"{path}:{line}: write imports in full"
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
    if here == there or levels[there] < levels[here]:
        return None
    return f"{path}:{line}: {room}/{here} may not import {room}/{there}"


def _circles(arrows):
    """Every knot of modules that reach each other, as a list of names; one that imports itself is a knot too."""
    arrows = sorted(set(arrows))
    names = sorted({name for arrow in arrows for name in arrow})
    rows, columns = ([names.index(arrow[side]) for arrow in arrows] for side in (0, 1))
    table = coo_array(([1] * len(arrows), (rows, columns)), shape=(len(names), len(names)))
    _count, knot_of = connected_components(table, connection="strong")
    knots = [[name for name, own in zip(names, knot_of, strict=True) if own == knot] for knot in set(knot_of)]
    return sorted([knot for knot in knots if len(knot) > 1] + [[name] for name, other in arrows if name == other])


def _name(path):
    return ".".join(path.with_suffix("").parts).removesuffix(".__init__")


def _arrows(modules):
    """(module, module that it imports) of all files, imports inside functions and for types included."""
    names = {_name(path) for path in modules}
    for path in modules:
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.ImportFrom):
                inside = {f"{node.module}.{alias.name}" for alias in node.names} & names
                yield from ((_name(path), target) for target in inside or {node.module} & names)
            elif isinstance(node, ast.Import):
                yield from ((_name(path), alias.name) for alias in node.names if alias.name in names)


def test_imports_run_downward_and_siblings_keep_apart():
    complaints = [c for path in _modules() for module, line in _imported(path) if (c := _complaint(path, module, line))]
    assert not complaints, "\n".join(complaints)


def test_no_imports_run_in_a_circle():
    circles = [" <-> ".join(knot) for knot in _circles(_arrows(list(_modules())))]
    assert not circles, "\n".join(circles)


def test_the_table_can_refuse():
    assert _complaint(Path("fieldapp/frame/x.py"), "fieldapp.kit.kit", 1)
    assert _complaint(Path("fieldapp/kit/x.py"), "fieldapp.statics.model", 1)
    assert _complaint(Path("labels/x.py"), "fieldapp.base.units", 1)
    assert _complaint(Path("fieldapp/kit/x.py"), "flask", 1)
    assert _complaint(Path("fieldapp/kit/x.py"), ".kit", 1)
    assert _complaint(Path("fieldapp/web/cards/x.py"), "fieldapp.web.parts.part", 1)
    assert _complaint(Path("fieldapp/web/parts/x.py"), "fieldapp.web.raising.start", 1)
    assert _complaint(Path("fieldapp/prints/posters/x.py"), "fieldapp.prints.folder", 1)
    assert _complaint(Path("fieldapp/reports/damage/x.py"), "fieldapp.reports.inspection", 1)


def test_circles_are_found_and_all_of_them_named():
    chain = [("a", "b"), ("b", "c")]
    assert _circles(chain) == []
    assert _circles([*chain, ("c", "a"), ("c", "d"), ("d", "e"), ("e", "d"), ("f", "f")]) == [
        ["a", "b", "c"], ["d", "e"], ["f"]]
    assert ("fieldapp.web.parts.stock", "fieldapp.prints.sheets.new_places") in set(_arrows(list(_modules())))


OF_SOME_SYSTEMS = {"resource", "fcntl", "pwd", "grp", "termios", "pty", "tty", "msvcrt", "winreg"}
NAMED = re.compile(rf"import .*\b({'|'.join(OF_SOME_SYSTEMS)})\b")


def test_what_some_systems_lack_is_imported_where_it_is_needed_and_nowhere_else():
    """At the top of a file it would end the program, or the collecting of tests, with a traceback."""
    at_top = [f"{path.relative_to(ROOT)}:{node.lineno}" for folder in ("fieldapp", "labels", "tests")
              for path in (ROOT / folder).rglob("*.py") for text in [path.read_text(encoding="utf-8")]
              for node in (tree(text).body if NAMED.search(text) else ())
              if isinstance(node, ast.Import) and OF_SOME_SYSTEMS & {alias.name for alias in node.names}]
    assert at_top == []


def test_json_that_others_may_have_written_is_read_in_one_place():
    """`json.loads` alone ends with a traceback over lists in lists beyond all reason."""
    may = {"fieldapp/base/json_text.py", "fieldapp/photos/child.py", "fieldapp/photos/apart.py",
           "fieldapp/prints/pocket/__init__.py"}       # the last three read what the program itself said just now
    found = {str(path.relative_to(ROOT).as_posix()) for path in (ROOT / "fieldapp").rglob("*.py")
             if "json.loads(" in path.read_text(encoding="utf-8")}
    assert found <= may
