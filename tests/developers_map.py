"""The map of files in DEVELOPERS.md, taken from the first docstring line of each file.

    python tests/developers_map.py

rewrites the part between the two markers; `test_documents.py` fails while it is out of date.
"""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
START, END = "<!-- map -->", "<!-- /map -->"


def first_line(path: Path) -> str:
    """What a file says of itself: the first docstring line, or the first comment of a script or style sheet."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return (ast.get_docstring(ast.parse(text)) or "").split("\n")[0]
    found = re.match(r"\s*(?:/\*|//|\{#)\s*(.*?)\s*(?:\*/|#\}|\n)", text)
    return found.group(1) if found else ""


def rows():
    """(path, line) of every file the map must list, in reading order."""
    rooms = ["base", "frame", "statics", "kit", "plan", "log", "reports", "wording", "prints", "demo", "web"]
    folders = [ROOT / "fieldapp" / room for room in rooms] + [ROOT / "fieldapp", ROOT / "labels", ROOT / "static"]
    for folder in folders:
        seen = folder.rglob("*") if folder.name != "fieldapp" else folder.glob("*.py")
        for path in sorted(seen):
            if path.suffix in {".py", ".js", ".css", ".html"} and path.name != "__init__.py":
                yield path.relative_to(ROOT).as_posix(), first_line(path)


def map_text() -> str:
    """The map as a Markdown list."""
    lines, room = [], None
    for path, words in rows():
        here = path.rsplit("/", 1)[0]
        if here != room:
            lines.append(f"\n**{here}/**\n")
            room = here
        lines.append(f"- `{path.rsplit('/', 1)[1]}` {words}")
    return "\n".join(lines).strip() + "\n"


def with_map(document: str) -> str:
    """DEVELOPERS.md with its map renewed."""
    head, rest = document.split(START, 1)
    tail = rest.split(END, 1)[1]
    return f"{head}{START}\n{map_text()}{END}{tail}"


if __name__ == "__main__":
    target = ROOT / "DEVELOPERS.md"
    target.write_text(with_map(target.read_text(encoding="utf-8")), encoding="utf-8")
