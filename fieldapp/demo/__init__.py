"""The demo kit Orchard Hall, all invented: written into a folder as `raisebook new` and `raisebook make` would."""

from collections.abc import Callable
from pathlib import Path

from fieldapp.base.errors import KitError
from fieldapp.demo.first_raise import tell_first_raise
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.template import design_text
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.file import DESIGN_FILE, has_kit, read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.opening import open_book
from fieldapp.prints.folder import make_folder

PLACES_TO_TRY = ("H22", "S073", "H61")
"""A hub with a handed pattern, a strut in the second ring, the crown."""


def write_demo(folder: Path, *, report: Callable[[str], None] = lambda words: None, past: bool = True) -> None:
    """Write design, kit, tables, paper and log of Orchard Hall; a folder that holds it already is left as it is.

    `past` tells of its first raise and of the inspection round that has just begun; without it the log is empty.

    Raises
    ------
    KitError
        If the folder holds another kit, or other files.
    """
    if has_kit(folder):
        _check_own(folder)
        report(f"{folder} holds the demo already: taken as it is, with its log.")
        return
    if folder.exists() and any(folder.iterdir()):
        raise KitError(f"{folder} is not empty and holds no kit; the demo wants a new or empty folder. "
                       f"Name another: raisebook demo FOLDER")
    design = orchard_hall()
    write_atomic(folder / DESIGN_FILE, design_text(design).encode())
    for line in make_folder(folder, design, report=lambda words: report(f"… {words}")):
        report(line)
    if past:
        report("… first raise and half an inspection")
        with open_book(folder) as book:
            tell_first_raise(book)


def ids_to_try(kit: Kit) -> tuple[str, ...]:
    """Three part IDs worth a look."""
    return tuple(kit.by_place[place].id for place in PLACES_TO_TRY)


def _check_own(folder: Path) -> None:
    found = read_kit(folder).design.frame
    own = orchard_hall().frame
    if found.prefix != own.prefix:
        raise KitError(f"{folder} holds the kit {found.prefix} ({found.name}), not the demo {own.prefix}. "
                       f"To serve it: raisebook serve {folder}. For the demo name another folder.")
