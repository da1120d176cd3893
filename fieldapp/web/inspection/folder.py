"""The paper of the last inspection round, written into a kit's folder by the command line: no pages, no clock."""

from pathlib import Path

from fieldapp.base.errors import KitError
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.file import read_kit
from fieldapp.log.entry import LOG_NAME
from fieldapp.log.fold import fold
from fieldapp.log.store import read_log
from fieldapp.reports.inspection.record import inspection_record, record_csv
from fieldapp.reports.readiness.folder import folder_checklist
from fieldapp.reports.readiness.readiness import Readiness
from fieldapp.web.common.stickers import stickers_pdf
from fieldapp.web.inspection.paper import record_pdf, tags_pdf

RECORD, TABLE = "inspection-record.pdf", "inspection-record.csv"
TAGS, STICKERS = "inspection-tags.pdf", "new-places.pdf"


def write_inspection_paper(folder: Path, ready: Readiness) -> tuple[Path, ...]:
    """Write the record, its table, the tags of the bundles, and stickers for parts that change their place.

    Raises
    ------
    KitError
        If there was no inspection round yet, or the disk does not allow it.
    PaperError
        If something does not fit the paper of the design.
    """
    kit, path = read_kit(folder), folder / LOG_NAME
    state = fold(kit, read_log(path, kit) if path.exists() else ())
    record = inspection_record(state, folder_checklist(folder, kit))
    if record is None:
        raise KitError(f"{folder} has had no inspection round yet, so there is no record to write. Serve it, let the "
                       f"chief open a round, and inspect: raisebook serve {folder}")
    files = {RECORD: record_pdf(kit, record), TABLE: record_csv(record).encode()}
    if record.tags:
        files[TAGS] = tags_pdf(kit, record)
    if ready.outfit.stickers:
        files[STICKERS] = stickers_pdf(kit, state, ready.outfit.stickers)
    paper = folder / "paper"
    paper.mkdir(exist_ok=True)
    for name, content in files.items():
        write_atomic(paper / name, content)
    return tuple(paper / name for name in files)
