"""Scripts of the pages made one, for a page that can fetch nothing: modules in order, their imports left out."""

import re
from pathlib import Path
from typing import Final

from markupsafe import Markup

from fieldapp.base.static_files import static_dir

TURNING: Final = ("shape", "view", "ground", "signs", "paint", "names", "pick", "touch", "canvas")
"""The modules of the picture that can be turned, each after those that it imports from."""
_IMPORT = re.compile(r'^import (\{[^}]*\}) from "\./([a-z_]+)\.js";$', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=function (\w+))", re.MULTILINE)


def turning_script(last: Path) -> Markup:
    """The modules and, after them, the script that begins; nothing of theirs is known outside."""
    modules = [_module(static_dir() / f"turning_{name}.js") for name in TURNING]
    return Markup('(() => {\n"use strict";\n' + "".join((*modules, _without_imports(_text(last)))) + "})();")


def turning_style() -> Markup:
    """The style sheet of that picture."""
    return Markup(_text(static_dir() / "turning.css"))


def _module(path: Path) -> str:
    """One module as a function that is called at once, and gives what it exports."""
    text = _text(path)
    gives = ", ".join(found[1] for found in _EXPORT.finditer(text))
    inside = _EXPORT.sub("", _without_imports(text))
    return f"const {path.stem} = (() => {{\n{inside}return {{ {gives} }};\n}})();\n"


def _without_imports(text: str) -> str:
    return _IMPORT.sub(r"const \1 = \2;", text)


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")
