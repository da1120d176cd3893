"""The examples in docstrings run; `np` and `in_words` are there without an import."""

import doctest
import importlib
from pathlib import Path

import numpy as np

from fieldapp.base.said import in_words

ROOT = Path(__file__).resolve().parent.parent

MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    for top in ("fieldapp", "labels")
    for path in (ROOT / top).rglob("*.py") if ">>> " in path.read_text(encoding="utf-8")
)


def test_every_example_gives_what_it_says():
    """What was expected and what came stands in the captured output, for every example."""
    run = {name: doctest.testmod(importlib.import_module(name), extraglobs={"np": np, "in_words": in_words},
                                 optionflags=doctest.NORMALIZE_WHITESPACE) for name in MODULES}
    assert [name for name, result in run.items() if result.failed] == []
    assert sum(result.attempted for result in run.values()) > 150
