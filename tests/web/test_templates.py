"""Templates loop and show; what a page says is judged in its view, in Python, where it is typed and tested."""

from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from fieldapp.web import server

PACKAGE = Path(server.__file__).parents[2]

LONGEST_LINE, MOST_LINES, MOST_ASKED = 120, 150, 2
"""Columns; lines of a file; names that one condition may ask."""

MAY_FILTER = {"whole", "short", "length", "join"}
"""How something is shown, and how many there are of what is shown."""
MAY_TEST = {"hub_place"}
"""The look of a name."""
JUDGES = (nodes.BinExpr, nodes.Slice, nodes.Dict, nodes.Neg)
"""Arithmetic, cutting, tables from a state to its words."""


def _said(node):
    """A node as short as a complaint needs it."""
    return repr(node)[:90]


def _asked(test):
    """Complaints of one condition: it may ask names, whether not, whether both or either, whether two are the same."""
    for node in (test, *test.find_all(nodes.Node)):
        if isinstance(node, nodes.Compare):
            sides = (node.expr, *(operand.expr for operand in node.ops))
            if [operand.op for operand in node.ops] not in (["eq"], ["ne"]):
                yield node.lineno, f"a condition compares: {_said(node)}"
            elif any(isinstance(side, nodes.Const) for side in sides):
                yield node.lineno, f"a condition asks for a certain value: {_said(node)}"
        elif isinstance(node, nodes.Call | nodes.Filter | nodes.Getitem | nodes.Concat):
            yield node.lineno, f"a condition computes: {_said(node)}"
    asked = [node for node in (test, *test.find_all(nodes.Name)) if isinstance(node, nodes.Name)]
    if len(asked) > MOST_ASKED:
        yield test.lineno, f"a condition asks {len(asked)} things"


def complaints(text):
    """(line, what is wrong) of one template."""
    lines = text.splitlines()
    yield from ((number, f"{len(line)} columns") for number, line in enumerate(lines, 1) if len(line) > LONGEST_LINE)
    if len(lines) > MOST_LINES:
        yield len(lines), f"{len(lines)} lines"
    tree = Environment(extensions=["jinja2.ext.i18n"]).parse(text)
    for node in tree.find_all(nodes.Node):
        conditions = [node.test] if isinstance(node, nodes.If | nodes.CondExpr | nodes.For) and node.test else []
        for test in conditions:
            yield from _asked(test)
        if isinstance(node, JUDGES) and not isinstance(node, nodes.Concat | nodes.And | nodes.Or):
            yield node.lineno, f"markup computes: {_said(node)}"
        if isinstance(node, nodes.Filter) and node.name not in MAY_FILTER:
            yield node.lineno, f"filter {node.name}"
        if isinstance(node, nodes.Test) and node.name not in MAY_TEST:
            yield node.lineno, f"test {node.name}"
        if isinstance(node, nodes.Call) and isinstance(node.node, nodes.Getattr) and node.node.attr in dir(str):
            yield node.lineno, f"markup takes words apart: {_said(node)}"


def test_templates_are_short_and_judge_nothing():
    found = [f"{path.relative_to(PACKAGE)}:{line}: {what}" for path in sorted(PACKAGE.rglob("*.html"))
             for line, what in sorted(complaints(path.read_text(encoding="utf-8")))]
    assert not found, f"{len(found)} complaints; judge it in the view:\n" + "\n".join(found)


@pytest.mark.parametrize("judging", [
    "{% if state.phase == 'stores' %}{% endif %}", "{% if n > 1 %}{% endif %}", "{% if a in b %}{% endif %}",
    "{% if a|length %}{% endif %}", "{{ 'x' if kind == 'hub' else 'y' }}", "{{ n - 4 }}", "{{ names[:8] }}",
    "{% if a and b and c %}{% endif %}", "{{ {'sound': 'fitted'}[x] }}", "{{ id.split('-')[1] }}",
    "{{ lines|selectattr('asked')|list }}", "{% for d in defects if d.kind == 'x' %}{% endfor %}",
    "{% if seen() %}{% endif %}", "{% if lines is none %}{% endif %}", "x" * 121, "x\n" * 151])
def test_what_judges_is_found(judging):
    assert list(complaints(judging))


def test_what_shows_is_let_through():
    assert not list(complaints(
        "{% for name, words in choices %}{% if name == said.how %} checked{% endif %}{{ name|short }}{% endfor %}\n"
        "{% if may_write and not view.done %}{{ _('%(n)s parts', n=ids|length) }}{% endif %}\n"
        "{% if name is hub_place %}{{ 'a' if view.go else 'b' }}{% endif %}{{ sheet ~ '.css' }}"))
