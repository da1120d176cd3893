"""Every array of three or more axes says its axes where it is made, as far as a look at the source can tell."""

import ast
import re
from pathlib import Path

from trees import tree

ROOT = Path(__file__).resolve().parent.parent

SHAPED = {"zeros", "empty", "ones", "full", "tile", "broadcast_to"}
"""Makers whose first or second argument is the shape."""

AXES = re.compile(r"#.*\([^()]+(,[^()]+){2,}\)")
"""A comment with at least three names in brackets: `# (stage, hub, component)`."""

STACKED = re.compile(r"#.*\([^()]+,[^()]+\)")
"""What a stack needs: how many axes it has depends on what is stacked, so two may do."""


def _length(shape: ast.expr) -> int:
    """How many axes a shape has; what is unpacked into it counts as two."""
    if not isinstance(shape, ast.Tuple):
        return 2 if isinstance(shape, ast.Starred) else 1
    return sum(2 if isinstance(element, ast.Starred) else 1 for element in shape.elts)


def _of_call(node: ast.Call) -> int:
    """How many axes a call makes, as far as it can be seen; 0 if it makes none."""
    name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
    if name in SHAPED:
        return max((_length(argument) for argument in node.args[:2]), default=0)
    if name in {"reshape", "transpose"} and node.args:
        return max(sum(_length(argument) if isinstance(argument, ast.Starred) else 1 for argument in node.args),
                   _length(node.args[0]))
    if name == "einsum" and isinstance(node.args[0], ast.Constant):
        return len(str(node.args[0].value).partition("->")[2])
    return 0


def _of_index(node: ast.Subscript) -> int:
    """How many axes an index with None makes at least."""
    parts = node.slice.elts if isinstance(node.slice, ast.Tuple) else []
    if not any(isinstance(part, ast.Constant) and part.value is None for part in parts):
        return 0
    return len(parts)


def _needs(statement: ast.stmt) -> re.Pattern[str] | None:
    """The comment that a statement needs; None if it makes nothing of three axes."""
    own = [node for node in ast.walk(statement) if not isinstance(node, ast.stmt) or node is statement]
    axes = max((_of_call(n) if isinstance(n, ast.Call) else _of_index(n) for n in own
                if isinstance(n, ast.Call | ast.Subscript)), default=0)
    stacks = any(isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute) and n.func.attr == "stack" for n in own)
    return AXES if axes >= 3 else STACKED if stacks else None


def _unsaid(text: str):
    """(line, statement) of each statement that does not say its axes on its own lines or on the line above or below."""
    lines = text.splitlines()
    simple = (node for node in ast.walk(tree(text)) if isinstance(node, ast.stmt) and not hasattr(node, "body"))
    for node in simple:
        needs = _needs(node)
        near = lines[max(node.lineno - 2, 0):node.end_lineno + 1]
        if needs and not any(needs.search(line) for line in near):
            yield node.lineno, lines[node.lineno - 1].strip()


def test_arrays_of_three_or_more_axes_say_them_where_they_are_made():
    files = [path for top in ("fieldapp", "labels") for path in sorted((ROOT / top).rglob("*.py"))]
    unsaid = [f"{path.relative_to(ROOT)}:{line}: {words}" for path in files
              for line, words in _unsaid(path.read_text(encoding="utf-8"))]
    assert not unsaid, "say the axes in a comment, as in `# (stage, hub, component)`:\n" + "\n".join(unsaid)


def test_the_look_can_fail():
    makes = ("a = np.zeros((n, 6, 6))", "b = c.reshape(-1, 2, 3)", 'd = np.einsum("mi,mj->mij", e, f)',
             "g = h[:, None, :]", "i = j.transpose(2, 0, 1)", "k = np.zeros((2, *l.shape))", "m = np.stack((n, o))")
    for line in makes:
        assert list(_unsaid(line)), line
        assert not list(_unsaid(f"{line}  # (strut, end, component)")), line
    assert not list(_unsaid("p = np.zeros((n, 6))\nq = r[:, None]\ns = t.reshape(-1, 3)"))
