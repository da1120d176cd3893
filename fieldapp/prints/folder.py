"""Everything that `raisebook make` writes into a kit's folder."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fieldapp.frame.design import Design
from fieldapp.kit.checklist_defaults import write_checks
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.file import KIT_FILE, write_kit
from fieldapp.kit.kit import Kit, Part
from fieldapp.kit.make import Made, made_kit
from fieldapp.kit.site_key import site_key
from fieldapp.plan.kept import keep_plan
from fieldapp.plan.order import judged_plan
from fieldapp.prints.sheets.labels import write_calibration, write_labels
from fieldapp.prints.site_paper import write_site_paper
from fieldapp.prints.tables.kit import write_tables
from fieldapp.prints.tables.plan import write_chosen_tables
from fieldapp.prints.terminal.kit import NEW_LABELS, summary
from fieldapp.prints.terminal.plan import plan_lines
from fieldapp.prints.workshop.workshop import WORKSHOP, write_workshop
from labels.pieces import Warned

Report = Callable[[str], None]


def make_folder(folder: Path, design: Design, made_on_site: Iterable[Part] = (), *, report: Report) -> tuple[str, ...]:
    """Write `kit.json`, tables and paper of a design; answers with the lines of the summary.

    What the maker needs first comes first: kit, tables, labels. The order of erection follows; on a large frame it
    takes most of the time, and nothing of it changes a part.

    Parameters
    ----------
    folder : Path
    design : Design
    made_on_site : parts
        As `kit.make.made_kit`.
    report
        Called with a few words before each part of the work.

    Raises
    ------
    RaisebookError
        `kit.json`, which makes a kit a labelled one, is written when tables and labels are there. A way of
        raising that cannot be followed is refused after that; change it and make again.
    """
    report("frame and kit")
    made = made_kit(folder, design, made_on_site)
    report("cutting plan and tables")
    cutting = cutting_plan(made.kit)
    write_tables(made.kit, cutting, folder / "tables")
    report("workshop sheets and hub blanks")
    troubles = write_workshop(made.kit, cutting, folder)
    report(f"labels for {len(made.kit.parts)} parts")
    warnings = _write_labels(made, folder / "paper")
    write_checks(folder, design)
    write_kit(folder, made.kit)
    report("kit, tables and labels are written; order of erection, every stage of it")
    raising = tuple(_raising(folder, made.kit))
    warnings += write_site_paper(made.kit, folder / "paper", report, join_code=site_key(folder).join_code)
    return (*summary(made, cutting), *raising, *(f"Note: {warning}" for warning in (*troubles, *warnings)),
            f"Wrote {folder / KIT_FILE}, {folder / 'tables'}, {folder / 'paper'} and {folder / WORKSHOP}")


def _raising(folder: Path, kit: Kit) -> Iterator[str]:
    """Lines about the order of erection, its tables and the plan kept for `raisebook serve`."""
    yield from plan_lines(kit)
    keep_plan(folder, kit.design, judged_plan(kit, kit.design).plan)
    write_chosen_tables(kit, folder / "tables")


def _write_labels(made: Made, folder: Path) -> tuple[Warned, ...]:
    """Labels of all parts, of those added to a labelled kit, and the sheet that checks the printer."""
    folder.mkdir(exist_ok=True)
    if made.added:
        write_labels(made.kit, folder / NEW_LABELS, part_ids=[part.id for part in made.added])
    write_calibration(made.kit, folder / "printer-check.pdf")
    return write_labels(made.kit, folder / "labels.pdf")
