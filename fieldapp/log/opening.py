"""From a kit folder to its open site book."""

from pathlib import Path

from fieldapp.kit.file import read_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan import erection_plan

LOG_NAME = "log.sqlite"


def open_book(folder: Path) -> SiteBook:
    """Open kit, plan and log of a folder that `raisebook make` has written.

    Raises
    ------
    KitError
        If the folder holds no kit, or one that cannot be read.
    StoreError
        If the log cannot be opened.
    """
    kit = read_kit(folder)
    plan = erection_plan(kit.frame, kit, kit.design)
    return SiteBook.open(kit, plan, folder / LOG_NAME)
