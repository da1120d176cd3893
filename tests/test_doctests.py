"""The examples in docstrings run; `np` is there without an import."""

import doctest
import importlib
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).resolve().parent.parent

MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    for top in ("fieldapp", "labels")
    for path in (ROOT / top).rglob("*.py")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    module = importlib.import_module(name)
    result = doctest.testmod(module, extraglobs={"np": np}, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0
