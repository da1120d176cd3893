"""One name, one meaning: no two public classes or type names of the product are called the same."""

import ast
from collections import defaultdict
from pathlib import Path

from trees import tree

ROOT = Path(__file__).resolve().parent.parent


def _type_names(text):
    """Public classes of a file, and what it gives a type's name: `Point = tuple[float, float]`."""
    for node in tree(text).body:
        targets = getattr(node, "targets", [getattr(node, "target", None)])
        names = [node.name] if isinstance(node, ast.ClassDef) else [t.id for t in targets if isinstance(t, ast.Name)]
        yield from (name for name in names if name[0].isupper() and not name.isupper() and "_" not in name)


def _shared(files):
    """Names given in more than one file, each with the files."""
    found = defaultdict(list)
    for path, text in files:
        for name in _type_names(text):
            found[name].append(path)
    return {name: paths for name, paths in found.items() if len(paths) > 1}


def test_no_two_types_share_a_name():
    files = [(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
             for top in ("fieldapp", "labels") for path in sorted((ROOT / top).rglob("*.py"))]
    shared = _shared(files)
    assert not shared, "\n".join(f"{name}: {', '.join(paths)}" for name, paths in shared.items())


def test_the_look_can_fail():
    assert _shared([("a.py", "class Turn: pass"), ("b.py", "Turn = tuple[int, int]")]) == {"Turn": ["a.py", "b.py"]}
    assert _shared([("a.py", "class _Own: pass\nTURN = 1"), ("b.py", "class _Own: pass\nTURN = 2")]) == {}
