"""The syntax tree of a source, for all tests that look at sources: each is parsed once by a process."""

import ast
from functools import cache


@cache
def tree(text: str) -> ast.Module:
    """To be looked at, never changed."""
    return ast.parse(text)
