"""Reports of a kit's folder, from its files alone."""

from datetime import datetime
from pathlib import Path

from fieldapp.kit.checklist import Checklist
from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.kit.checklist_file import CHECKS_FILE, read_checks
from fieldapp.kit.file import read_kit
from fieldapp.kit.kit import Kit
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.fold import fold
from fieldapp.log.opening import plan_for
from fieldapp.log.store import read_log
from fieldapp.reports.readiness.readiness import Readiness, readiness


def folder_readiness(folder: Path, way: str | None = None, *, now: datetime) -> Readiness:
    """Readiness of the kit in a folder, for a way of raising; None: the one chosen on site, else the design's.

    Raises
    ------
    KitError
        If the folder holds no kit, or its checklist breaks a rule.
    PlanError
        If there is no such way, or its order cannot be followed or breaks arms.
    StoreError
        If the log cannot be read.
    """
    kit = read_kit(folder)
    checklist = folder_checklist(folder, kit)
    path = folder / LOG_NAME
    state = fold(kit, read_log(path, kit) if path.exists() else ())
    return readiness(plan_for(kit, way or state.way), state, checklist, now=now)


def folder_checklist(folder: Path, kit: Kit) -> Checklist:
    """The checklist of a folder; one made before there were any gets the default of its design."""
    return read_checks(folder) if (folder / CHECKS_FILE).exists() else default_checks(kit.design)
