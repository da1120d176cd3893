"""Everything that `raisebook make` writes into a kit's folder."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fieldapp.frame.design import Design
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.file import KIT_FILE, write_kit
from fieldapp.kit.kit import Part
from fieldapp.kit.make import made_kit
from fieldapp.prints.labels import write_calibration, write_labels
from fieldapp.prints.summary import summary
from fieldapp.prints.tables import write_tables

Say = Callable[[str], None]


def make_folder(folder: Path, design: Design, made_on_site: Iterable[Part] = (), *, say: Say) -> Iterator[str]:
    """Write `kit.json`, tables and paper of a design; yields the lines of the summary.

    Parameters
    ----------
    folder : Path
    design : Design
    made_on_site : parts
        As `kit.make.made_kit`.
    say
        Called with a few words before each part of the work.

    Raises
    ------
    RaisebookError
        `kit.json`, which makes a kit a labelled one, is written last, when all else is there.
    """
    say("frame and kit")
    made = made_kit(folder, design, made_on_site)
    say("cutting plan and tables")
    cutting = cutting_plan(made.kit)
    write_tables(made.kit, cutting, folder / "tables")
    say(f"labels for {len(made.kit.parts)} parts")
    (folder / "paper").mkdir(exist_ok=True)
    warnings = write_labels(made.kit, folder / "paper" / "labels.pdf")
    write_calibration(made.kit, folder / "paper" / "printer-check.pdf")
    write_kit(folder, made.kit)
    yield from summary(made, cutting)
    yield from (f"Note: {warning}" for warning in warnings)
    yield f"Wrote {folder / KIT_FILE}, {folder / 'tables'} and {folder / 'paper'}"
