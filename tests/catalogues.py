"""Makes the catalogues of the pages' words: collects all strings, brings the .po files up to date, compiles them.

    python tests/catalogues.py

Run it after a string was added or changed; then fill the empty ones in `fieldapp/web/locale/*/LC_MESSAGES/raisebook.po`
and run it again, which compiles them. It ends with how many are missing in which language. Needs Babel.
"""

import ast
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from fieldapp.web.common.i18n import LANGUAGE_NAMES, LOCALE_DIR

SOURCES = Path(__file__).resolve().parent.parent / "fieldapp"
METHODS = [("**.py", "python"), ("web/templates/**.html", "jinja2"), ("prints/pocket/page/**.html", "jinja2")]
KEYWORDS = {"_": None, "ngettext": (1, 2), "marked": None, "say": None, "say_n": (1, 2)}
RECORDS = {"refuse": (1, 2), "CheckLine": (0, 1), "Head": (0,)}
"""Calls whose arguments, by place or name, are words that are translated where they are shown."""

WIDTH = 110
LEFT_OUT = ('"POT-Creation-Date:', '"PO-Revision-Date:', '"Last-Translator:', '"Language-Team:',
            '"Report-Msgid-Bugs-To:', '"Generated-By:')
"""Lines of a head that say nothing here, or change with the day."""


@cache
def collected() -> Catalog:
    """Every string of the sources that a page may show; not to be changed."""
    found = Catalog(project="raisebook", version="1", charset="utf-8", fuzzy=False)
    for path, line, message, _comments, _context in sorted(
            extract_from_dir(str(SOURCES), method_map=METHODS, keywords=KEYWORDS), key=lambda item: (item[0], item[1])):
        found.add(message, locations=[(path, line)], flags=())
    for path in sorted(SOURCES.rglob("*.py")):
        for line, message in recorded(path):
            found.add(message, locations=[(str(path.relative_to(SOURCES)), line)])
    for message in found:
        message.flags.discard("python-format")
    return found


def recorded(path: Path) -> Iterator[tuple[int, str]]:
    """Line and words of the records in one file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or node.func.id not in RECORDS:
            continue
        for where in RECORDS[node.func.id]:
            given = [k.value for k in node.keywords if k.arg == where] if isinstance(where, str) \
                else node.args[where:where + 1]
            for value in given:
                if isinstance(value, ast.Constant) and isinstance(value.value, str) and value.value:
                    yield value.lineno, value.value


def po_path(language: str) -> Path:
    """Where the words of a language are."""
    return LOCALE_DIR / language / "LC_MESSAGES" / "raisebook.po"


def read(language: str) -> Catalog:
    """The catalogue as it is in the sources; an empty one for a new language."""
    path = po_path(language)
    if not path.exists():
        return Catalog(locale=language, project="raisebook", version="1", charset="utf-8", fuzzy=False)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def update(language: str, template: Catalog) -> list[str]:
    """Bring one language up to date and compile it; what is still missing."""
    held = read(language)
    held.update(template, no_fuzzy_matching=True, update_creation_date=False)
    held.obsolete.clear()
    path = po_path(language)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(as_po(held))
    path.with_suffix(".mo").write_bytes(as_mo(read(language)))
    return missing(held)


def missing(catalogue: Catalog) -> list[str]:
    """Strings without a translation."""
    return [str(message.id) for message in catalogue
            if message.id and not all(message.string if isinstance(message.string, tuple | list) else [message.string])]


def as_po(catalogue: Catalog) -> bytes:
    """As it is kept: without line numbers and dates, so that it changes only with its words."""
    catalogue.header_comment = "# The words of the pages; see tests/catalogues.py."
    out = BytesIO()
    write_po(out, catalogue, width=WIDTH, omit_header=False, include_lineno=False, sort_output=True)
    lines = out.getvalue().decode().split("\n")
    return "\n".join(line for line in lines if not any(head in line for head in LEFT_OUT)).encode()


def as_mo(catalogue: Catalog) -> bytes:
    """As the pages read it, with one date for ever, so that the same words give the same bytes."""
    catalogue.creation_date = catalogue.revision_date = datetime(2026, 1, 1, tzinfo=UTC)
    out = BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def main() -> None:
    """All languages."""
    template = collected()
    for language in LANGUAGE_NAMES:
        if language != "en":
            lacking = update(language, template)
            print(f"{language}: {len(template)} strings, {len(lacking)} missing")


if __name__ == "__main__":
    main()
